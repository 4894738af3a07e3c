package pass

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

// How long, in ns, the arc may be out before the next one is another pass,
// where nothing else tells. Ours; common practice, no source.
const (
	straightBreak = 1e9  // on a plate the torch has moved on by then
	boreBreak     = 10e9 // in a bore it may go round a flaw; between layers it takes longer
	gapShare      = 1.5  // of the longest planned gap, which may be passed slowly
	dataBreak     = 60e9 // without any data: then nobody knows
)

// ringSpare is how many degrees of a ring may be left when it counts as closed.
const ringSpare = 10

// intervalStart is told of the first sample of an arc interval.
func (s *Splitter) intervalStart(tick int64) {
	s.doubts.spanTo(tick, tick)
	s.struck = tick
	off := tick - s.lastEnd.Tick - s.trace.idle.gap
	if s.current != nil && (s.ended(tick) || off > s.mayRest || s.trace.idle.gap > dataBreak || s.complete() || s.leftSegment(tick)) {
		s.cut = s.trace.idle.gap > dataBreak
		s.endPass()
	}
	if s.current != nil {
		s.current.Intervals++
		s.torch.Outage(s.lastEnd.Tick, tick, s.trace.idle.gap == 0)
		s.listener.Resume(s.lastEnd, s.At(tick), quantity.SecondsOf(off))
		return
	}
	s.torch.BeginPass(tick)
	s.beginPass(s.At(tick))
	s.listener.Begin(s.current, s.At(tick))
}

// beginPass opens a pass at a position.
func (s *Splitter) beginPass(at Position) {
	s.trace.sum, s.trace.idle, s.closed = tally{}, tally{}, closedRing{}
	s.arcTurns, s.briefs, s.briefTime, s.wire, s.wireArc = 0, 0, 0, 0, 0
	s.startTurns, s.sweep, s.cut = at.Turns, sweep{furthest: at.Turns}, false
	course := s.layers.begin(s.startTurns, s.torch.Measured())
	s.passes++
	s.due = s.firstEnding(at.Moment)
	if s.doubtAt != nil {
		s.doubt = s.doubtAt(at.Moment)
	}
	if s.torch.Known() {
		at.Place = s.layers.place(at.Turns) // begin may have gone to the next layer
	}
	s.current = &Pass{
		Number: s.passes, Layer: s.layers.number, Pattern: s.job.Deposit.Pattern,
		Start: at.Moment, StartPlace: at.Place, Intervals: 1,
		PlannedArcOn: s.job.Deposit.PlannedArcOnRatio(),
		Diameter:     s.layers.diameter, Course: course,
	}
}

// longestOff is how long the arc may stay out within a pass, in ns.
func (s *Splitter) longestOff() int64 {
	if !s.layers.turning() {
		return straightBreak
	}
	gap := 0.0
	if n := float64(s.job.Rotation.Speed); n > 0 && !s.layers.stroked() {
		gap = gapShare * float64(s.job.Deposit.LongestGap()) / 360 / n * 1e9
	}
	return max(boreBreak, int64(gap))
}

// complete reports whether the pass has gone as far round as its pattern plans.
func (s *Splitter) complete() bool {
	if s.layers.perLayer == 0 || !s.torch.Known() {
		return false
	}
	return s.left() <= min(ringSpare/360.0, s.layers.need/4)
}

// left returns how many turns of the pass are still to be welded. At the end of
// a ring the planned gaps are left out; every other pass ends with metal.
func (s *Splitter) left() float64 {
	gone := s.lastEnd.Turns - s.startTurns
	turned, need := math.Abs(gone), s.layers.need
	if s.job.Deposit.Pattern != bore.Rings {
		return need - turned
	}
	if !(turned < need+1) { // a count gone wild is not walked degree by degree
		return 0
	}
	left := 0
	for degree := int(turned * 360); degree < int(math.Round(need*360)); degree++ {
		at := s.layers.place(s.startTurns + math.Copysign((float64(degree)+0.5)/360, gone))
		if !s.job.Deposit.InGap(at.Angle) {
			left++
		}
	}
	return float64(left) / 360
}

// intervalEnd is told of the last sample of an arc interval.
func (s *Splitter) intervalEnd(tick int64, turns float64) {
	s.lastEnd = s.position(tick, turns)
	s.doubts.spanTo(tick, tick)
	s.listener.Rest(s.lastEnd)
	if s.ended(tick) || s.complete() || s.strokeByCounts() && s.sweep.back(s.torch.Dial(tick)) {
		s.endPass()
	}
}

// idle is told that the arc is out at a tick.
func (s *Splitter) idle(tick int64) {
	if tick > s.restsUntil() {
		s.ended(tick)
		s.endPass()
	}
}

// restsUntil returns the tick up to which the arc may stay out before the pass
// that is open ends; without one, for ever.
func (s *Splitter) restsUntil() int64 {
	if s.current == nil {
		return math.MaxInt64
	}
	return min(s.lastEnd.Tick+s.trace.idle.gap+s.mayRest, s.due.at.Tick-1)
}

// briefOut is told of an arc-out shorter than the hold time.
func (s *Splitter) briefOut(ns int64) {
	s.briefs++
	s.briefTime += ns
}

// bucket is told of a stretch of the arc interval.
func (s *Splitter) bucket(b *Bucket) {
	if s.torch.Known() {
		s.torch.Hear(b.Start, b.End, b.Arc, b.I)
		at := s.torch.At(b.End)
		b.Turns, b.TurnsBasis = at.Turns, at.Basis
	}
	s.shape.burn(b)
	s.listener.Burn(b)
	switch {
	case s.layers.perLayer == 0 || !s.torch.Known() || s.job.Deposit.Pattern == bore.Helix:
	case s.strokeByCounts():
		s.followStroke(b)
	default:
		s.followRing(b)
	}
}

// endPass completes the pass that is open, if one is.
func (s *Splitter) endPass() {
	p := s.current
	if p == nil {
		return
	}
	s.current = nil
	if s.torch.Settle() {
		s.lastEnd = s.At(s.lastEnd.Tick)
	}
	p.Rotation = s.torch.Account(math.Abs(s.lastEnd.Turns-s.startTurns), s.lastEnd.Tick-p.Start.Tick)
	s.total(p)
	s.shape.endPass(p)
	s.doubts.Arc += s.trace.sum.arc
	s.layers.finish(p, s.lastEnd.Turns, s.left(), s.cut)
	s.listener.End(p)
	s.layers.end(math.Abs(s.lastEnd.Turns - s.startTurns))
}
