package pass

import (
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
	s.total(&p, s.soFar())
	if !s.layers.turning() && s.job.Deposit.Length > 0 && p.TravelBasis == heat.TravelDeclared {
		p.Travel, p.TravelSpeed, p.ArcEnergy, p.HeatInput, p.ExpandedUncertainty = nil, nil, nil, nil, nil
		p.Budget, p.Verdict = nil, ""
	}
	return p, true
}

// Now returns the moment of the newest sample, false before there is one.
func (s *Splitter) Now() (Moment, bool) {
	tick, seen := s.arc.Newest()
	return Moment{s.epoch, tick}, seen
}

// Since returns for how long the arc has burned, or has been out, up to the
// newest sample; false where no arc was struck in this epoch.
func (s *Splitter) Since() (quantity.Seconds, bool) {
	newest, seen := s.arc.Newest()
	switch {
	case s.arc.Open():
		return quantity.SecondsOf(newest - s.struck), true
	case s.passes == 0, s.rested.Epoch != s.epoch, !seen:
		return 0, false
	default:
		return quantity.SecondsOf(newest - s.rested.Tick), true
	}
}

// Off returns for how long the arc is known to be out within the pass under way,
// and where it went out; false where it burns, or no pass is under way.
func (s *Splitter) Off() (from Position, off quantity.Seconds, out bool) {
	if s.arc.Open() || s.current == nil {
		return from, 0, false
	}
	newest, _ := s.arc.Newest()
	return s.rested, quantity.SecondsOf(newest - s.rested.Tick - s.arc.Missing()), true
}

// Went returns how far the torch has gone since the pass under way began, at the
// newest sample; below 0 is anti-clockwise.
func (s *Splitter) Went() float64 {
	newest, _ := s.arc.Newest()
	return s.At(newest).Turns - s.layers.begun
}

// Turning returns the rotation that the pass goes by where it is not counted,
// 0 where none is declared.
func (s *Splitter) Turning() (quantity.TurnsPerSecond, heat.TravelBasis) {
	return s.torch.Speed(), s.torch.Basis()
}

// Layer returns the number of the layer that is being welded, 0 where it is not
// known, and how much of it is laid.
func (s *Splitter) Layer() (number int, done quantity.Ratio) {
	if s.current == nil {
		return s.layers.progress(0, false)
	}
	return s.layers.progress(s.soFar().at.Turns, true)
}

// Parts returns which ring, or stroke, of its layer the pass under way is, and how many
// the plan has; 0 is not known.
func (s *Splitter) Parts() (number, planned int) {
	_, laid, planned := s.layers.count()
	if s.current == nil || planned == 0 {
		return 0, 0
	}
	return laid + 1, planned
}

// progress returns how much of the layer is laid, with a pass under way that has
// come so far.
func (l *layers) progress(at float64, underWay bool) (number int, done quantity.Ratio) {
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
	if underWay {
		laid += l.share(l.turned(at))
	}
	return l.number, quantity.Ratio(min(1, laid/all))
}

// share is what so many turns of the present pass are of its layer: turns of a
// helix, a share of a ring or of a stroke.
func (l *layers) share(turned float64) float64 {
	whole := 1.0
	switch {
	case l.job.Deposit.Pattern == bore.Helix:
		return turned
	case l.stroked():
		whole = float64(l.segments[l.segment].Width()) / 360
	}
	return max(0, 1-max(0, l.need-turned)/whole)
}
