package arc

import "math"

// How much of the arc is looked at for how voltage and current move together: the
// first buckets of so many, on the clock of the source. A tenth of a second holds
// several cycles of any arc, and a tenth of the samples costs no time worth saving.
const (
	swingOf    = 100
	swingLooks = 10
)

// Swing is how voltage and current move together, each over the mean power of what was
// looked at: what a wrong moment of one of them, or a filter, could make of the power.
// The zero value is not known.
type Swing struct {
	Loop   float64 // 1/s: the area that the arc goes round in the plane of v and i, in a time
	Jumps  float64 // 1/s: the sum of |dv*di| over the steps, in a time
	Step   float64 // s: the mean step
	Most   float64 // twice the product of the standard deviations: no shift makes more of it
	PerOhm float64 // 1/ohm: the mean square of the current, what a resistance in the leads takes of it
}

// swing sums up the steps in arc that are looked at.
type swing struct {
	ns, steps    int64
	loop, jumps  float64 // 2*V*A, V*A
	v, i         float64
	vv, ii, both float64
}

// looks tells whether the bucket that ends at a tick is looked at.
func looks(end int64) bool { return end/bucketLength%swingOf < swingLooks }

// add takes samples in arc that follow one another, and prev.
//
// (The conversions keep products from being fused into sums, as in burnOn.)
func (s *swing) add(prev *Sample, x []Sample) {
	from, v, i := prev.Tick, prev.V, prev.I
	sum := *s
	for k := range x {
		at := &x[k]
		dv, di := at.V-v, at.I-i
		sum.loop += float64(v*at.I) - float64(at.V*i)
		sum.jumps += math.Abs(dv * di)
		v, i = at.V, at.I
		sum.v += v
		sum.i += i
		sum.vv += float64(v * v)
		sum.ii += float64(i * i)
		sum.both += float64(v * i)
	}
	sum.ns, sum.steps = sum.ns+x[len(x)-1].Tick-from, sum.steps+int64(len(x))
	*s = sum
}

// since returns what has been added since an earlier state.
func (s swing) since(before swing) swing {
	return swing{
		s.ns - before.ns, s.steps - before.steps, s.loop - before.loop, s.jumps - before.jumps,
		s.v - before.v, s.i - before.i, s.vv - before.vv, s.ii - before.ii, s.both - before.both,
	}
}

// Swing returns how voltage and current move together:
//
//	loop  = |sum( v[k-1]*i[k] - v[k]*i[k-1] )| / 2 / (p*t)
//	jumps = sum( |v[k]-v[k-1]|*|i[k]-i[k-1]| ) / (p*t)
//	most  = 2*sqrt( (mean(v^2) - mean(v)^2) * (mean(i^2) - mean(i)^2) ) / p
//
// with the mean power p = mean(v*i) and the time t looked at. The first is the area of a
// polygon; over a closed way it is the integral of v*di, which is by how much the mean
// of v(t)*i(t+d) rises with d. Source: plain analysis, ours for this use.
func (s *Sums) Swing() Swing {
	w := &s.swing
	power, n, t := w.both, float64(w.steps), float64(w.ns)*1e-9
	if w.steps == 0 || !(power > 0) || t <= 0 {
		return Swing{}
	}
	mean, work := power/n, power/n*t
	variance := func(squares, sum float64) float64 { return max(0, squares/n-sum/n*(sum/n)) }
	return Swing{
		Loop: math.Abs(w.loop) / 2 / work, Jumps: w.jumps / work, Step: t / n,
		Most:   2 * math.Sqrt(variance(w.vv, w.v)*variance(w.ii, w.i)) / mean,
		PerOhm: w.ii / power,
	}
}
