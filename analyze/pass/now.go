package pass

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
)

// UnderWay returns what the pass under way would be if it had ended with the
// newest sample in arc, false between passes. Nothing is changed by asking. The
// path, and what rests on it, is not known on the way along a bead of which only
// the whole length is declared. A derived rotation is the one in use, which the
// end of the pass sets right.
func (s *Splitter) UnderWay() (p Pass, open bool) {
	if s.current == nil {
		return p, false
	}
	p = *s.current
	now := *s
	if s.trace.open {
		now.lastEnd, now.arcTurns = s.ending()
	}
	now.total(&p)
	if !s.layers.turning() && s.job.Deposit.Length > 0 {
		p.Travel, p.TravelSpeed, p.ArcEnergy, p.HeatInput, p.ExpandedUncertainty = nil, nil, nil, nil, nil
		p.Budget, p.Verdict = nil, ""
	}
	return p, true
}

// ending returns where an open arc interval would end now, and the turns in arc.
func (s *Splitter) ending() (at Position, arcTurns float64) {
	if !s.trace.in {
		return s.position(s.trace.last, s.trace.lastTurns), s.arcTurns
	}
	turns := s.torch.Kept(s.trace.prev.Tick)
	return s.position(s.trace.prev.Tick, turns), s.arcTurns + math.Abs(turns-s.trace.runTurns)
}

// Now returns the moment of the newest sample, false before there is one.
func (s *Splitter) Now() (Moment, bool) { return Moment{s.epoch, s.trace.prev.Tick}, s.trace.seen }

// Since returns for how long the arc has burned, or has been out, up to the
// newest sample; false where no arc was struck in this epoch.
func (s *Splitter) Since() (quantity.Seconds, bool) {
	switch {
	case s.trace.open:
		return quantity.SecondsOf(s.trace.prev.Tick - s.struck), true
	case s.passes == 0, s.lastEnd.Epoch != s.epoch, !s.trace.seen:
		return 0, false
	default:
		return quantity.SecondsOf(s.trace.prev.Tick - s.lastEnd.Tick), true
	}
}

// Off returns for how long the arc is known to be out within the pass under way,
// and where it went out; false where it burns, or no pass is under way.
func (s *Splitter) Off() (from Position, off quantity.Seconds, out bool) {
	if s.trace.open || s.current == nil {
		return from, 0, false
	}
	return s.lastEnd, quantity.SecondsOf(s.trace.prev.Tick - s.lastEnd.Tick - s.trace.idle.gap), true
}

// Went returns how far the torch has gone since the pass under way began, at the
// newest sample; below 0 is anti-clockwise.
func (s *Splitter) Went() float64 { return s.At(s.trace.prev.Tick).Turns - s.startTurns }

// Turning returns the rotation that the pass goes by where it is not counted,
// 0 where none is declared.
func (s *Splitter) Turning() (quantity.TurnsPerSecond, heat.TravelBasis) {
	return s.torch.Speed(), s.torch.Basis()
}

// Layer returns the number of the layer that is being welded, 0 where it is not
// known, and how much of it is laid.
func (s *Splitter) Layer() (number int, done quantity.Ratio) {
	l := &s.layers
	if l.number == 0 {
		return 0, 0
	}
	laid, all := l.done, l.perLayer
	if l.stroked() {
		laid, all = 0, l.perLayer*float64(len(l.strokes))
		for _, n := range l.strokes {
			laid += float64(n)
		}
	}
	if s.current != nil {
		laid += l.part(math.Abs(s.here().Turns - s.startTurns))
	}
	return l.number, quantity.Ratio(min(1, laid/all))
}

// here is where the bead of the pass under way has come to.
func (s *Splitter) here() Position {
	if s.trace.open {
		at, _ := s.ending()
		return at
	}
	return s.lastEnd
}

// part is what so many turns of the present pass are of its layer: turns of a
// helix, a share of a ring or of a stroke.
func (l *layers) part(turned float64) float64 {
	whole := 1.0
	switch {
	case l.job.Deposit.Pattern == bore.Helix:
		return turned
	case l.stroked():
		whole = float64(l.segments[l.segment].Width()) / 360
	}
	return max(0, 1-max(0, l.need-turned)/whole)
}
