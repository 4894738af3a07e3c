package arcsim

import "math"

// dip shorts and burns in turn.
type dip struct {
	current  float64
	shorted  bool
	left     float64 // s of what goes on
	spark    float64 // V, after a short
	lasted   float64 // s of the short
	ofWhole  float64 // s that it will last
	mended   float64 // V by which the source makes up for the shorts
	observed float64 // A, slow mean
}

// scattered draws a time about its median.
func (a *Arc) scattered(median float64) float64 {
	return median * math.Exp(a.Scatter*a.rng.NormFloat64())
}

// next draws how long the next short, or arc, lasts.
func (d *dip) next(a *Arc) {
	d.shorted = !d.shorted
	rate, short := a.Rate*(1-a.Swing), a.Short
	switch a.Fault {
	case LongArc:
		rate *= 0.15
	case NoGas:
		rate *= 1.5
	}
	if !d.shorted {
		whole := math.Exp(a.Scatter * a.Scatter / 2) // mean over median
		d.left = max(0.5e-3, a.scattered(max(0.2/rate, 1/rate-short*(1-a.Touches)*whole)/whole))
		d.spark = 5
		return
	}
	d.left = a.scattered(short)
	switch {
	case a.Fault == Stubbing && a.rng.Float64() < 0.25:
		d.left = between(a.rng, 0.02, 0.06)
	case a.rng.Float64() < a.Touches:
		d.left = between(a.rng, 0.1e-3, 0.9e-3)
	}
	d.lasted, d.ofWhole = 0, d.left
}

// step implements law.
func (d *dip) step(a *Arc) (v, i float64) {
	if d.left -= a.dt; d.left <= 0 {
		d.next(a)
	}
	meant, length := a.meant(), a.length()
	v = d.current * a.Leads
	if d.shorted {
		d.lasted += a.dt
		thin := max(0.05, 1-d.lasted/d.ofWhole) // the neck
		v += min(4, 2e-3*d.current/thin)
	} else {
		d.spark -= d.spark * min(1, a.dt/0.2e-3)
		v += a.ArcVoltage + length + d.spark
	}
	// The source is set so that the mean comes to what is meant.
	d.observed += (d.current - d.observed) * a.dt / 0.15
	d.mended += (meant - d.observed) * a.dt * 0.3
	d.mended = max(-8, min(8, d.mended))
	u := a.Mean() + a.Slope*meant + d.mended
	d.current = max(20, d.current+(u-a.Slope*d.current-v)/a.Inductance*a.dt)
	return v, d.current
}
