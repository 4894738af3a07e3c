package pass

import "math"

import "arctally/analyze/waveform"

// ringOverlap is how far, in turns, a ring may be welded over its own beginning
// to close it. An arc that burns on for longer has stepped over to the next
// ring without going out. Ours; common practice, no source.
const ringOverlap = 45.0 / 360

// closedRing is what a ring had summed up to when the torch came round to where
// it began.
type closedRing struct {
	set      bool
	at       Position
	sum      tally
	arcTurns float64
	wire     float64
	shape    *waveform.Mark // nil where there is no waveform
}

// followRing parts rings that are laid without putting the arc out, and strokes
// of which only the declared rotation tells the turns. Whether the arc goes on is
// only known after the overlap; until then both stay possible.
func (s *Splitter) followRing(b *Bucket) {
	turned, overlap := math.Abs(b.Turns-s.startTurns), ringOverlap
	if s.layers.stroked() {
		overlap = ringSpare / 360.0
	}
	switch {
	case !s.closed.set && turned >= s.layers.need:
		s.closed = closedRing{
			set: true, at: s.position(b.End, b.Turns), sum: s.trace.sum,
			arcTurns: s.turnsInArc(b), wire: s.wireNow(), shape: s.shape.mark(),
		}
	case s.closed.set && turned >= s.layers.need+overlap:
		s.part(b, s.turnsInArc(b)-s.closed.arcTurns)
	}
}

// part ends the pass where its ring closed, or its stroke turned round, and gives
// what came after it, so many turns in arc, to the next one.
func (s *Splitter) part(b *Bucket, since float64) {
	c, sum, wire := s.closed, s.trace.sum, s.wireNow()
	s.trace.sum, s.arcTurns, s.wire, s.wireArc, s.lastEnd = c.sum, c.arcTurns, c.wire, c.sum.arc, c.at
	s.shape.closed = c.shape
	s.endPass()
	s.layers.open = unfinished{} // one that parts with the arc on is no restart
	s.torch.BeginPass(c.at.Tick)
	start := c.at
	if !s.torch.Measured() {
		start.Turns = 0
	}
	s.beginPass(start)
	s.trace.sum = sum.less(c.sum)
	s.arcTurns, s.wire, s.wireArc = since, wire-c.wire, s.trace.sum.arc
	s.trace.runTurns = s.torch.Dial(b.End)
	s.listener.Begin(s.current, s.At(b.End))
}

// turnsInArc returns the turns in arc up to the end of a bucket.
func (s *Splitter) turnsInArc(b *Bucket) float64 {
	if !s.trace.in {
		return s.arcTurns
	}
	return s.arcTurns + math.Abs(b.Turns-s.trace.runTurns)
}

// wireNow returns the wire fed up to now.
func (s *Splitter) wireNow() float64 {
	if s.wireKnown {
		s.feed(s.wireSpeed)
	}
	return s.wire
}

// less returns what has been added since an earlier state.
func (s tally) less(before tally) tally {
	s.arc -= before.arc
	s.energy -= before.energy
	s.v -= before.v
	s.i -= before.i
	s.meanTime -= before.meanTime
	s.gap -= before.gap
	s.held -= before.held
	return s
}
