package pass

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/heat"
)

// listenForRhythm takes a bucket, and corrects the turns of the pass as soon as
// its rhythm is known. What was placed before that is set right at the end.
func (s *Splitter) listenForRhythm(b *Bucket) {
	if s.rhythm.burn(b, s.rotation.at(b.End), s.rotation.declared) {
		s.derive()
	}
}

// outOfArc takes the time since the last arc interval, where no data is missing.
func (s *Splitter) outOfArc(tick int64) {
	s.rhythm.series.Strike(tick)
	if s.trace.idle.gap == 0 && s.rhythm.out(s.rotation.at(s.lastEnd.Tick), s.rotation.at(tick)) {
		s.derive()
	}
}

func (s *Splitter) derive() {
	if e, ok := s.rhythm.estimate(); ok {
		s.rotation.derived = e
	}
}

// settleRotation decides, for the whole of a pass that ends, what its rotation
// rests on.
func (s *Splitter) settleRotation(p *Pass) {
	if s.rhythm.searched {
		s.rotation.derived = estimate{}
		s.derive()
		s.lastEnd = s.position(s.lastEnd.Tick, s.rotation.at(s.lastEnd.Tick))
	}
	p.Rotation = Rotation{Declared: quantity.TurnsPerSecond(s.rotation.declared * 1e9), Basis: s.rotation.basis(), From: FromPlan}
	if s.rhythm.searched {
		p.Rotation.Searched = s.rhythm.turns
	}
	switch p.Rotation.Basis {
	case heat.TravelMeasured:
		s.counted(p)
	case heat.TravelDerived:
		e := s.rotation.derived
		p.Rotation.From = e.from
		p.Rotation.Speed = quantity.TurnsPerSecond(e.order) * p.Rotation.Declared
		p.Rotation.Uncertainty = quantity.TurnsPerSecond(e.uncertainty) * p.Rotation.Declared
		p.Rotation.Wander = quantity.Degrees(360 * e.wander)
	default:
		p.Rotation.Speed = p.Rotation.Declared
	}
}

// counted is the mean rotation by counts; each end of it is known to half a count
// either way:
//
//	u = 1/(c*sqrt(6)) / time      c counts in a turn
func (s *Splitter) counted(p *Pass) {
	p.Rotation.From = FromCounts
	if elapsed := float64(s.lastEnd.Tick-p.Start.Tick) * 1e-9; elapsed > 0 {
		p.Rotation.Speed = quantity.TurnsPerSecond(math.Abs(s.lastEnd.Turns-s.startTurns) / elapsed)
		p.Rotation.Uncertainty = quantity.TurnsPerSecond(1 / (s.rotation.perTurn * math.Sqrt(6)) / elapsed)
	}
}
