package pass

import (
	"arctally/acquire/quantity"
	"arctally/analyze/arc"
	"arctally/analyze/bore"
)

// dataBreak is how long, in ns, there may be no data within a pass: after that
// nobody knows. Ours; common practice, no source.
const dataBreak = 60e9

// hear is told what the arc does.
func (s *Splitter) hear(e arc.Event) {
	switch e.Kind {
	case arc.IntervalBegan:
		s.strike(e.Tick, e.Missing)
	case arc.IntervalEnded:
		s.rest(e.Tick)
	case arc.BucketClosed:
		s.burn(e.Bucket)
	case arc.ArcOut:
		s.odometer.goOut(s.torch.Dial(e.Tick))
	case arc.ArcBack:
		s.brief.add(e, s.struck)
		s.odometer.light(s.torch.Dial(e.Tick))
	case arc.ValuesHeld:
		s.doubts.held(s.epoch, e.From, e.Tick)
	case arc.ValuesMayBeHeld:
		s.doubts.MayBeHeld.add(s.epoch, e.From, e.Tick)
	case arc.Cold:
		if e.Tick > s.restsUntil(e.Missing) {
			s.endedByHand(e.Tick)
			s.endPass(s.soFar())
		}
	}
}

// strike takes the first sample of an arc interval, after so many ns without data.
func (s *Splitter) strike(tick, missing int64) {
	s.doubts.reachTo(tick, tick)
	s.struck = tick
	off := tick - s.rested.Tick - missing
	if s.current != nil && (s.endedByHand(tick) || off > s.layers.mayRest || missing > dataBreak || s.complete() || s.layers.beyond(s.torch.Dial(tick))) {
		s.cut = missing > dataBreak
		s.endPass(s.soFar())
	}
	if s.current != nil {
		s.current.Intervals++
		s.torch.Outage(s.rested.Tick, tick, missing == 0)
		s.listener.Resume(s.rested, s.At(tick), quantity.SecondsOf(off))
	} else {
		s.torch.BeginPass(tick, s.layers.open.number == 0)
		s.beginPass(s.At(tick))
		s.listener.Begin(s.current, s.At(tick))
	}
	s.odometer.light(s.torch.Dial(tick))
}

// beginPass opens a pass at a position.
func (s *Splitter) beginPass(at Position) {
	s.arc.Restart(arc.Sums{})
	s.feed.restart(0, 0)
	s.carriage.begin(0)
	s.odometer.sum, s.brief, s.closed = 0, brief{}, closing{}
	s.headway, s.cut = headway{furthest: at.Turns}, false
	s.layers.zero = s.torch.Zero()
	course := s.layers.begin(at.Turns, s.torch.Measured())
	s.passes++
	s.begun = true
	s.endings.begin(at.Moment)
	s.instruments.begin(at.Moment)
	s.current = &Pass{
		Number: s.passes, Layer: s.layers.number, Pattern: s.job.Deposit.Pattern,
		Start: at.Moment, StartPlace: s.PlaceOf(at.Turns), Intervals: 1, // at the layer that has begun now
		PlannedArcOn: s.job.Deposit.PlannedArcOnRatio(),
		Diameter:     s.layers.diameter, Course: course,
	}
}

// burn takes a bucket of the arc interval.
func (s *Splitter) burn(full *arc.Bucket) {
	b := &s.bucket
	at := s.torch.Hear(full.Start, full.End, full.Arc, full.I)
	*b = Bucket{*full, at.Turns, at.Basis}
	s.listener.Burn(b)
	switch {
	case s.layers.perLayer == 0 || !s.torch.Known() || s.job.Deposit.Pattern == bore.Helix:
	case s.layers.countedStroke():
		s.followStroke(b)
	default:
		s.followRing(b)
	}
}

// rest takes the last sample of an arc interval.
func (s *Splitter) rest(tick int64) {
	s.rested = s.position(tick, s.odometer.last)
	s.carriage.lift()
	s.doubts.reachTo(tick, tick)
	s.listener.Rest(s.rested)
	newest, _ := s.arc.Newest() // the torch has gone on, or back, since the arc went out
	if s.endedByHand(tick) || s.complete() || s.layers.countedStroke() && s.headway.back(s.torch.Dial(newest)) {
		s.endPass(s.soFar())
	}
}

// complete reports whether the pass has gone as far round as its pattern plans.
func (s *Splitter) complete() bool { return s.torch.Known() && s.layers.complete(s.rested.Turns) }

// endedByHand reports whether the pass under way was ended by a person up to a
// tick, and notes by whom.
func (s *Splitter) endedByHand(tick int64) bool {
	if s.endings.next.at.Tick > tick {
		return false
	}
	s.current.EndedBy = s.endings.next.by
	return true
}

// endPass completes the pass that is open, if one is, where it has come to.
func (s *Splitter) endPass(r reached) {
	p := s.current
	if p == nil {
		return
	}
	s.current = nil
	if s.torch.Settle() {
		r.at = s.At(r.at.Tick)
	}
	s.rested = r.at
	s.torch.EndPass(r.at.Tick)
	turned := s.layers.turned(r.at.Turns)
	p.Rotation = s.torch.Account(turned, r.at.Tick-p.Start.Tick)
	s.total(p, r)
	p.Waveform = s.arc.EndWave(r.wave)
	s.doubts.Arc += r.sums.Arc
	s.layers.finish(p, r.at.Turns, s.cut, s.torch.TurnedUncertainty())
	s.listener.End(p)
	s.layers.end(turned)
}
