package acquire

import (
	"fmt"
	"time"

	"arctally/acquire/series"
)

// identity is what a recorder knows of who speaks on its line.
type identity struct {
	last  string // who described himself last; empty is nobody yet
	epoch int    // in which he did
	// doubtful is set from where the box began anew until it says who it is: it may be
	// another one, on whose samples nothing of the former may rest.
	doubtful  bool
	plugged   bool      // the line came back, and nothing was heard since
	newestAt  time.Time // of the host, when the newest tick came
	contested string    // the port of another box that says the same serial; empty is none
}

// introduced takes who a source says it is; it stands at a tick of its clock.
func (r *recorder) introduced(s *series.Source, tick int64) {
	own := s.Identity()
	before := r.who.last
	r.who.doubtful = false
	switch {
	case !series.IsNamed(own):
		return
	case before == "" || before == own:
	case r.who.epoch == r.epoch: // and so the clock is another one too
		r.nextEpoch(tick, series.AnotherBox, insteadOf(own, before))
	default:
		r.event(series.Event{Kind: series.AnotherBox, Tick: tick, Until: tick, Count: 1, Text: insteadOf(own, before)})
	}
	r.who.last, r.who.epoch = own, r.epoch
}

func insteadOf(own, before string) string {
	return fmt.Sprintf("another box speaks: %s in place of %s", series.Who(own), series.Who(before))
}

// doubtWho is called where the box began anew: who it is, is what it says next. A link
// that describes no box has nobody else to offer.
func (r *recorder) doubtWho() {
	r.who.doubtful = !r.lines && !r.source.Assumed
}

// disown announces a source that has not said who it is, before samples that may be
// those of another box: on the scales of the former one, which are assumed.
func (r *recorder) disown() {
	if !r.who.doubtful {
		return
	}
	r.who.doubtful = false
	s := r.source
	s.Name, s.Serial, s.Firmware, s.Calibration, s.Assumed, s.Contested = "", "", "", "", true, false
	r.flush()
	r.source = s
	r.out.source(s)
	r.all.contest()
}

// slackOfPlug is how much longer or shorter a time on the clock of a box may be than
// on that of the host while it was unplugged: the stalls of hosts and adapters, and
// more. Two boxes that were switched on at times farther apart are told by it. Ours,
// no source.
const slackOfPlug = 2 * time.Second

// fitsClock tells whether the first tick after a plug goes on from the clock before it.
func (r *recorder) fitsClock(tick int64) bool {
	plugged := r.who.plugged
	if r.who.plugged = false; !plugged || !r.position.known {
		return true
	}
	ahead := time.Duration(tick-r.newestTick) - r.now.Sub(r.who.newestAt)
	return ahead.Abs() <= slackOfPlug
}

// contest tells every box whether another one that speaks says the same serial. One
// that is unplugged, or was not heard for long, does not speak: it may have moved.
func (e *ensemble) contest() {
	if len(e.recorders) < 2 {
		return // it is called for every frame
	}
	for _, r := range e.recorders {
		port := ""
		for _, other := range e.recorders {
			if other != r && other.speaks() && r.speaks() && other.who.last == r.who.last {
				port = other.source.Port
			}
		}
		if (port != "") != (r.who.contested != "") {
			r.setContested(port)
		}
	}
}

// speaks tells whether a box with a serial is heard.
func (r *recorder) speaks() bool {
	if r.source.Assumed || r.who.doubtful || r.who.plugged {
		return false
	}
	return series.IsNamed(r.who.last) && !series.IsPort(r.who.last) && !r.quiet.away && r.quiet.beats < silentBeats
}

// setContested says that another box has the serial of this one, or no longer has.
func (r *recorder) setContested(port string) {
	text := fmt.Sprintf("%s speaks on %s alone again: what is bound to it holds from here on", series.Who(r.who.last), r.source.Port)
	if port != "" {
		text = fmt.Sprintf("two boxes say that they are %s, on %s and on %s: what is bound to it holds for neither until it is one again",
			series.Who(r.who.last), r.source.Port, port)
	}
	r.who.contested = port
	r.event(series.Event{Kind: series.SameSerial, Tick: r.position.tick, Until: r.position.tick, Count: 1, Text: text})
	if r.source.Assumed { // who has not said who he is has no serial to share
		return
	}
	r.source.Contested = port != ""
	r.out.source(r.source)
}
