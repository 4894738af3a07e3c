package arcsim

import "math/rand/v2"

// Setting is what an arc is drawn as: V, A, s, Hz, H and ohm.
type Setting struct {
	Mode        Mode
	Current     float64 // mean
	ArcVoltage  float64 // at the tap, without what the current adds in the leads
	OpenCircuit float64
	Leads       float64 // ohm, between tap and arc
	Slope       float64 // ohm, of source and circuit
	Inductance  float64
	Ripple      float64 // V, of the source, at 300 Hz
	Noise       float64 // V, of each sample before the filter
	Filter      float64 // Hz, two poles
	Wander      float64 // V, of the length of the arc
	Spatters    float64 // a second

	Rate    float64 // shorts, pulses or heavy drops a second
	Short   float64 // s, median of a short
	Scatter float64 // of the logarithm of shorts and arcs
	Touches float64 // share of shorts that are blown apart

	Peak, Base float64 // A, of a pulsed arc
	PulseTime  float64
	Jitter     float64 // of the cycle, a share
	Sag        float64 // V by which heavy drops shorten the arc
}

// Mean is the mean voltage to be expected: what a procedure would be set to.
func (s *Setting) Mean() float64 {
	switch s.Mode {
	case Dip:
		short := s.Rate * s.Short * (1 - s.Touches)
		return (1-short)*(s.ArcVoltage+s.Current*s.Leads) + short*(1+1.2*s.Current*s.Leads)
	case Pulsed:
		return s.ArcVoltage + s.Current*(s.Leads+pulseColumn)
	case Globular:
		return s.ArcVoltage + s.Current*s.Leads - s.Sag/2
	default:
		return s.ArcVoltage + s.Current*s.Leads
	}
}

// between draws evenly between two values.
func between(rng *rand.Rand, low, high float64) float64 { return low + (high-low)*rng.Float64() }

// draw draws a setting within what is usual.
func draw(mode Mode, rng *rand.Rand) Setting {
	s := Setting{
		Mode: mode, OpenCircuit: between(rng, 55, 85), Leads: between(rng, 2e-3, 40e-3),
		Slope: between(rng, 0.04, 0.08), Inductance: between(rng, 150e-6, 400e-6),
		Ripple: between(rng, 0, 0.8), Noise: between(rng, 0.1, 0.6), Filter: between(rng, 2000, 3000),
		Wander: between(rng, 0.1, 0.4), Spatters: between(rng, 0, 4),
	}
	switch mode {
	case Dip:
		s.Current, s.ArcVoltage = between(rng, 110, 200), between(rng, 15.5, 18.5)
		s.Rate, s.Short = between(rng, 40, 150), between(rng, 2e-3, 4e-3)
		s.Short = min(s.Short, 0.3/s.Rate)
		s.Scatter, s.Touches = between(rng, 0.15, 0.65), between(rng, 0, 0.5)
	case Spray:
		s.Current, s.ArcVoltage = between(rng, 220, 320), between(rng, 24, 30)
		s.Rate = between(rng, 0, 0.5)
	case Globular:
		s.Current, s.ArcVoltage = between(rng, 160, 240), between(rng, 24, 28)
		s.Rate, s.Sag, s.Scatter = between(rng, 8, 30), between(rng, 3.5, 6), 0.4
	case Pulsed:
		s.Rate, s.Base, s.Peak = between(rng, 60, 250), between(rng, 40, 110), between(rng, 320, 450)
		s.PulseTime = min(between(rng, 1.6e-3, 2.6e-3), 0.6/s.Rate)
		s.Jitter, s.ArcVoltage = between(rng, 0.002, 0.02), between(rng, 15, 18)
		s.Current = s.Base + (s.Peak-s.Base)*s.PulseTime*s.Rate
	}
	return s
}
