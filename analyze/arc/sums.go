package arc

import "arctally/acquire/quantity"

// Sums are what burned since they were begun anew. The trapezoids are kept twice as
// large as they are, and in ns: halving and scale wait until somebody asks.
type Sums struct {
	Arc      int64   // ns in arc
	Missing  int64   // ns without data inside arc intervals, or between two
	Held     int64   // ns at arc-like values that are not arc
	Wire     float64 // m, by windows
	MayBe    int64   // ns of Arc at values that may be held
	Averaged bool    // some of it is means, or was sampled too slowly for true power

	energy   float64 // 2e9 * J
	v, i     float64 // 2 * V*ns, 2 * A*ns
	meanTime int64   // ns that v and i stand for
	mayBe    float64 // 2e9 * J of energy in the time MayBe
}

// Energy returns the energy of the arc.
func (s *Sums) Energy() quantity.Joules { return quantity.Joules(s.energy * 0.5e-9) }

// EnergyMayBe returns the energy at values that may be held.
func (s *Sums) EnergyMayBe() quantity.Joules { return quantity.Joules(s.mayBe * 0.5e-9) }

// Power returns the mean power over arc time, nil where there was none.
func (s *Sums) Power() *quantity.Watts {
	if s.Arc <= 0 {
		return nil
	}
	return new(quantity.Watts(s.energy / 2 / float64(s.Arc)))
}

// Means returns mean voltage and current over the arc time that they are known for,
// nil where there was none.
func (s *Sums) Means() (*quantity.Volts, *quantity.Amperes) {
	if s.meanTime <= 0 {
		return nil, nil
	}
	t := float64(s.meanTime)
	return new(quantity.Volts(s.v / 2 / t)), new(quantity.Amperes(s.i / 2 / t))
}

// Since returns what has been added since an earlier state.
func (s Sums) Since(before Sums) Sums {
	s.Arc -= before.Arc
	s.Missing -= before.Missing
	s.Held -= before.Held
	s.MayBe -= before.MayBe
	s.Wire -= before.Wire
	s.energy -= before.energy
	s.v -= before.v
	s.i -= before.i
	s.meanTime -= before.meanTime
	s.mayBe -= before.mayBe
	return s
}
