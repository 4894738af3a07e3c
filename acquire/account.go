package acquire

import (
	"fmt"
	"math"

	"arctally/acquire/link"
	"arctally/acquire/series"
)

// verdict is how a frame stands to the one before it.
type verdict uint8

const (
	follows   verdict = iota
	first             // nothing was before it
	lost              // frames between them are missing
	again             // it came before
	rebooted          // another boot id
	restarted         // the sequence went back
)

// seenFrame identifies a frame within a boot.
type seenFrame struct {
	seq  uint32
	tick int64
}

// sequence knows the order of frames.
type sequence struct {
	started  bool
	repeated bool // of the frame last judged
	boot     uint16
	next     uint32
	seen     [seenRemembers]seenFrame // of this boot, by seq modulo its length
	filled   [seenRemembers]bool
}

// judge returns how a frame follows, and how many are missing before it. The
// sequence wraps at 2^32, so the shorter way round tells ahead from behind.
func (s *sequence) judge(r *link.Reading) (v verdict, missing uint32) {
	v, missing = s.compare(r)
	s.repeated = v == again
	if v == again {
		return v, 0
	}
	if v == rebooted || v == restarted {
		s.filled = [seenRemembers]bool{}
	}
	s.started, s.boot, s.next = true, r.Boot, r.Seq+1
	s.seen[r.Seq%seenRemembers] = seenFrame{r.Seq, r.Tick}
	s.filled[r.Seq%seenRemembers] = true
	return v, missing
}

func (s *sequence) compare(r *link.Reading) (verdict, uint32) {
	switch ahead := r.Seq - s.next; {
	case !s.started:
		return first, 0
	case r.Boot != s.boot:
		return rebooted, 0
	case !r.HasSeq || ahead == 0:
		return follows, 0
	case ahead <= math.MaxInt32:
		return lost, ahead
	case s.filled[r.Seq%seenRemembers] && s.seen[r.Seq%seenRemembers] == seenFrame{r.Seq, r.Tick}:
		return again, 0
	default:
		return restarted, 0
	}
}

// account acts on how a frame stands to the one before it.
func (r *recorder) account(reading *link.Reading) {
	before := r.order.boot
	v, missing := r.order.judge(reading)
	switch v {
	case first:
		r.tally.Epochs++
	case rebooted:
		r.doubtWho()
		r.nextEpoch(reading.Tick, series.Reboot, fmt.Sprintf("the box started again: boot %d after %d", reading.Boot, before))
	case restarted:
		r.doubtWho()
		r.nextEpoch(reading.Tick, series.Reboot, fmt.Sprintf("the box counts its frames anew, from %d, within boot %d", reading.Seq, before))
	case lost:
		r.missing(missing)
	case again:
		r.repeat(reading)
	case follows:
	}
	if !r.fitsClock(reading.Tick) && (v == follows || v == lost) {
		r.doubtWho()
		r.nextEpoch(reading.Tick, series.Reboot, "the clock of the box does not go on from where it was unplugged")
	}
	if r.unsure && !reading.HasSeq {
		r.breakNext = true
	}
	r.unsure = false
}

func (r *recorder) missing(frames uint32) {
	r.tally.Gaps++
	r.tally.Lost += int64(frames)
	r.gap.add(r.position.tick, frames)
	r.breakNext = true
}

func (r *recorder) repeat(reading *link.Reading) {
	r.tally.Repeated++
	r.breakNext = true
	r.event(series.Event{
		Kind: series.ClockBack, Tick: reading.Tick, Until: reading.Tick, Count: 1,
		Text: fmt.Sprintf("frame %d came again", reading.Seq),
	})
}

// nextEpoch begins an epoch at a tick of its own clock.
func (r *recorder) nextEpoch(tick int64, kind series.EventKind, text string) {
	r.endEpoch()
	r.anew(tick)
	r.event(series.Event{Kind: kind, Tick: tick, Until: tick, Count: 1, Text: text})
}

// anew forgets what holds within one epoch only.
func (r *recorder) anew(tick int64) {
	r.epoch = r.all.nextEpoch()
	r.tally.Epochs++
	r.position = position{tick: tick}
	r.mark = mark{}
	r.toldClock = toldClock{}
	r.newestTick, r.hasTick = math.MinInt64, false
	r.breakNext = true
}

// endEpoch hands out what is open in the present epoch.
func (r *recorder) endEpoch() {
	if e, ok := r.gap.end(r.position.tick); ok {
		r.event(e)
	}
	r.endFlagged(&r.overrun, false)
	r.endFlagged(&r.clipped, false)
	r.reportDamage()
	r.flush()
}

// flags acts on the flags of a frame. A run of flagged frames ends with the first
// frame of arc or sums that does not carry the flag: others say nothing of it.
func (r *recorder) flags(reading *link.Reading) {
	measured := false
	until := reading.Tick
	for k := range reading.Blocks {
		b := &reading.Blocks[k]
		measured = measured || isArcOrSums(b)
		until = max(until, b.End())
	}
	if reading.Overrun {
		r.tally.Overruns++
		r.breakNext = true
		r.overrun.add(min(r.position.tick, reading.Tick), reading.Tick)
	}
	if reading.Clipped {
		r.tally.Clipped++
		r.clipped.add(reading.Tick, until)
	}
	if !measured {
		return
	}
	r.endFlagged(&r.overrun, reading.Overrun)
	r.endFlagged(&r.clipped, reading.Clipped)
}

func (r *recorder) endFlagged(f *flagged, goesOn bool) {
	if goesOn {
		return
	}
	if e, ok := f.end(); ok {
		r.event(e)
	}
}

// takeDamage counts a run that gave no reading.
func (r *recorder) takeDamage(err error) {
	r.wrong.keep(err)
	r.unsure = true
	if r.joining {
		// The frame that was under way when we came is not the box's fault.
		r.joining = false
		return
	}
	r.tally.Damaged++
	r.damage.add(err, r.position.tick)
}

// reportDamage hands out the event about damage. Bytes that never gave a frame
// are an error, not an event.
func (r *recorder) reportDamage() {
	if r.damage.count > 0 && r.tally.Frames > 0 {
		r.event(r.damage.end(r.now))
	}
}

// lineEvent records that the line went away or came back.
func (r *recorder) lineEvent(e series.Event) {
	e.Tick, e.Until = r.position.tick, r.position.tick
	r.unsure, r.joining = true, true
	r.quiet.beats, r.quiet.away = 0, e.Kind == series.Unplugged
	r.who.plugged = e.Kind == series.Replugged
	r.event(e)
	r.all.contest()
}
