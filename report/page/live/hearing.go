package live

import (
	"fmt"
	"time"

	"arctally/acquire/series"
)

const (
	silentAfter = 2 * time.Second  // without a byte: a box sends many times a second
	doubtFor    = 10 * time.Second // after something was lost or damaged
	rateOver    = int64(time.Second)
)

// Received is the account of what has come over the line.
type Received struct {
	Frames, Lost, Damaged int64
	Gaps                  int64 // stretches of lost frames
}

// Hearing is how well the sensor box is heard, on the clock of the host.
type Hearing struct {
	Port      string
	now       func() time.Time
	began     time.Time // the port was opened
	bytes     time.Time // the last came
	sample    time.Time
	tally     Received
	doubt     time.Time // something was lost or damaged
	why       string
	unplugged string // why, while it is
	failed    string // why it cannot be understood, while it cannot

	samples   int64 // since rateFrom
	rateEpoch int
	rateFrom  int64 // tick
	rate      *float64
}

// NewHearing listens to a port from now on.
func NewHearing(port string, now func() time.Time) Hearing {
	return Hearing{Port: port, now: now, began: now()}
}

// Begin counts the silence from now on: the port has been opened.
func (h *Hearing) Begin() { h.began = h.now() }

// Account takes what has come by now.
func (h *Hearing) Account(t Received) {
	now := h.now()
	switch lost, damaged := t.Lost-h.tally.Lost, t.Damaged-h.tally.Damaged; {
	case lost > 0:
		h.doubt, h.why = now, fmt.Sprintf("%d frames were lost on the way", lost)
	case damaged > 0:
		h.doubt, h.why = now, fmt.Sprintf("%d frames came damaged", damaged)
	}
	h.bytes, h.tally = now, t
}

// Block counts samples against the clock of the box.
func (h *Hearing) Block(b *series.Block) {
	var n int64
	switch b.Kind {
	case series.Arc:
		n = int64(b.Len())
	case series.Sums:
		n = int64(b.Sum.Count)
	default:
		if b.Box == 0 {
			return // they tell nothing of the arc
		}
		n = int64(b.Len())
	}
	h.sample = h.now()
	tick := b.At(b.Len() - 1)
	if b.Epoch != h.rateEpoch || h.rateFrom == 0 || tick < h.rateFrom {
		h.rateEpoch, h.rateFrom, h.samples = b.Epoch, tick, 0
		return
	}
	h.samples += n
	if span := tick - h.rateFrom; span >= rateOver {
		h.rate = new(float64(h.samples) / (float64(span) / 1e9))
		h.rateFrom, h.samples = tick, 0
	}
}

// Event takes a plug that was pulled, and one that is back.
func (h *Hearing) Event(e series.Event) {
	switch e.Kind {
	case series.Unplugged:
		h.unplugged = e.Text
	case series.Failed:
		h.failed = e.Text
	case series.Heard:
		h.failed = ""
	case series.Replugged:
		h.unplugged, h.doubt, h.why = "", h.now(), "the port was unplugged and came back"
	}
}

// Link says how the box that tells the arc is heard right now.
func (h *Hearing) Link() Link { return h.link(silentAfter) }

// companion is Link for a box beside it, which need not speak as often.
func (h *Hearing) companion() Link { return h.link(companionSilentAfter) }

func (h *Hearing) link(patience time.Duration) Link {
	now := h.now()
	l := Link{
		Port: h.Port, Frames: h.tally.Frames, Lost: h.tally.Lost, Damaged: h.tally.Damaged, Gaps: h.tally.Gaps, Rate: h.rate,
		State: LinkGood, Words: "the sensor box is heard",
	}
	if !h.sample.IsZero() {
		l.Silent = new(now.Sub(h.sample).Seconds())
	}
	quiet := now.Sub(h.began)
	if !h.bytes.IsZero() {
		quiet = now.Sub(h.bytes)
	}
	switch {
	case h.unplugged != "":
		l.State, l.Words = LinkUnplugged, "the port is gone: plug the sensor box in again; the recording goes on when it is back"
	case h.failed != "":
		l.State, l.Words = LinkDoubtful, h.failed
	case quiet > patience:
		l.State, l.Words = LinkSilent, fmt.Sprintf("nothing has come for %.0f s: check the cable and the supply of the sensor box", quiet.Seconds())
	case !h.doubt.IsZero() && now.Sub(h.doubt) < doubtFor:
		l.State, l.Words = LinkDoubtful, h.why
	}
	return l
}
