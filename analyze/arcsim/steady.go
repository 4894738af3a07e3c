package arcsim

import "math"

// spray burns steadily, with a chance short now and then.
type spray struct {
	phase float64
	short float64 // s left of a short
}

// step implements law.
func (s *spray) step(a *Arc) (v, i float64) {
	length := a.length()
	i = a.meant() - length/(a.Slope+0.15)
	s.phase += a.dt
	v = a.ArcVoltage + i*a.Leads + length + 0.25*math.Sin(2*math.Pi*260*s.phase)
	return s.touch(a, v, i)
}

// touch shorts the arc by chance.
func (s *spray) touch(a *Arc, v, i float64) (float64, float64) {
	if s.short <= 0 && a.rng.Float64() < a.Rate*a.dt && a.Mode != Globular {
		s.short = between(a.rng, 0.8e-3, 2.5e-3)
	}
	if s.short <= 0 {
		return v, i
	}
	s.short -= a.dt
	return 1 + i*a.Leads, i * 1.15
}

// globular has drops that grow, shorten the arc, and fall; some of them touch.
type globular struct {
	spray
	grown, whole float64 // s
}

// step implements law.
func (g *globular) step(a *Arc) (v, i float64) {
	if g.grown += a.dt; g.grown > g.whole {
		if g.whole > 0 && a.rng.Float64() < 0.3 {
			g.short = between(a.rng, 4e-3, 12e-3)
		}
		g.grown, g.whole = 0, a.scattered(1/a.Rate)
	}
	length := a.length() - a.Sag*g.grown/g.whole
	i = a.meant() - (length+a.Sag/2)/(a.Slope+0.2)
	return g.touch(a, a.ArcVoltage+i*a.Leads+length, i)
}

// pulseColumn is what an ampere adds to the voltage of a pulsed arc, in ohm, beside the
// leads.
const pulseColumn = 0.028

// pulsed is driven by a source that makes current.
type pulsed struct {
	at, cycle float64 // s
	current   float64
}

// rampTime is how long a source takes from background to peak.
const rampTime = 0.25e-3

// step implements law.
func (p *pulsed) step(a *Arc) (v, i float64) {
	if p.at += a.dt; p.at >= p.cycle {
		p.at -= p.cycle
		rate := a.Rate
		if a.Fault == LongArc {
			rate *= 0.75 // the source's own control of the length
		}
		p.cycle = 1 / rate * (1 + a.Jitter*a.rng.NormFloat64())
	}
	share := (1 + a.Swing) * (1 - a.Fall)
	goal := a.Base * share
	if p.at < a.PulseTime {
		goal = a.Peak * share
	}
	most := (a.Peak - a.Base) / rampTime * a.dt
	p.current += max(-most, min(most, goal-p.current))
	return a.ArcVoltage + a.length() + p.current*(a.Leads+pulseColumn), p.current
}
