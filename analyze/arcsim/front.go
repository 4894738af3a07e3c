package arcsim

import "math"

// front is what stands between the arc and a sample.
type front struct {
	share    float64 // of a step that each pole follows
	v, i     [2]float64
	spatter  float64 // V, while one lasts
	lasts    float64 // s
	cos, sin float64 // of the ripple
	c, s     float64
}

func newFront(cutoff, rate float64) front {
	angle := 2 * math.Pi * 300 / rate
	return front{share: 1 - math.Exp(-2*math.Pi*cutoff/rate), cos: math.Cos(angle), sin: math.Sin(angle), c: 1}
}

// pass returns what is sampled.
func (f *front) pass(a *Arc, v, i float64) (float64, float64) {
	f.c, f.s = f.c*f.cos-f.s*f.sin, f.s*f.cos+f.c*f.sin
	if i > 0 {
		v += a.Ripple * f.s
		v += f.spattered(a)
	}
	if a.Fault == NoVolts {
		v = 0
	}
	v += a.Noise * a.rng.NormFloat64()
	i += 2 * a.Noise * a.rng.NormFloat64()
	f.v[0] += f.share * (v - f.v[0])
	f.v[1] += f.share * (f.v[0] - f.v[1])
	f.i[0] += f.share * (i - f.i[0])
	f.i[1] += f.share * (f.i[0] - f.i[1])
	return f.v[1], f.i[1]
}

// spattered is the voltage that a spatter adds, or takes, for less than a millisecond.
func (f *front) spattered(a *Arc) float64 {
	if f.lasts <= 0 {
		if a.rng.Float64() < a.Spatters*a.dt {
			f.lasts, f.spatter = between(a.rng, 0.1e-3, 0.8e-3), between(a.rng, -8, 8)
		}
		return 0
	}
	f.lasts -= a.dt
	return f.spatter
}
