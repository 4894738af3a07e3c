package arc

import (
	"math"

	"arctally/analyze/tape"
)

// Grain is what the codes of samples are worth, and how far apart they stand: with it a
// tape takes a third of the room. A wrong one costs room, and no more.
type Grain struct {
	VScale, VOffset float64 // V
	IScale, IOffset float64 // A
	Step            int64   // ns; 0 where they stand unevenly
}

// integrals packs what burned in a bucket. Samples are codes c and f on the lines
// v = a + b*c and i = d + e*f, and stand evenly, dt apart; so over a bucket of the length T in arc
//
//	integral(v)   = a*T + (b*dt/2)*m            m whole
//	integral(i)   = d*T + (e*dt/2)*n            n whole
//	integral(v*i) = a*d*T + a*(e*dt/2)*n + d*(b*dt/2)*m + (b*e*dt/2)*k    k whole, near m*n/2T
//
// but for the rounding of the sums. The whole numbers are written, and behind each of them by how
// many steps of a float64 the sum is off: all bits come back, whatever was measured. The
// formulas are plain algebra of the trapezoids, ours for this use.
type integrals struct {
	grain   Grain
	v, i, e float64 // sizes of a step: V*ns, A*ns, W*ns
	last    [3]int64
}

func (g *integrals) are(grain Grain) {
	half := float64(grain.Step) / 2
	g.grain, g.v, g.i, g.e = grain, grain.VScale*half, grain.IScale*half, grain.VScale*grain.IScale*half
}

// mostSteps is how many steps a float64 tells apart.
const mostSteps = 1 << 53

// steps is how many steps of a size a value is from a base; 0 where that is no number of steps.
func steps(value, base, size float64) int64 {
	n := math.Round((value - base) / size)
	if !(math.Abs(n) < mostSteps) {
		return 0
	}
	return int64(n)
}

// bases are from where the integrals of v and of i are counted.
func (g *integrals) bases(arc int64) (v, i float64) {
	t := float64(arc)
	return float64(g.grain.VOffset * t), float64(g.grain.IOffset * t)
}

// baseOfEnergy is the same of v*i, by the steps of both; the energy is counted from about
// where it would be if voltage and current had nothing to do with one another.
func (g *integrals) baseOfEnergy(arc, m, n int64) (base float64, about int64) {
	t, v, i := float64(arc), float64(g.v*float64(m)), float64(g.i*float64(n))
	base = float64(g.grain.VOffset*g.grain.IOffset*t) + float64(g.grain.VOffset*i) + float64(g.grain.IOffset*v)
	if arc > 0 {
		about = steps(v*i/t, 0, g.e)
	}
	return base, about
}

// stepsFrom is the value so many steps from a base.
func stepsFrom(base float64, n int64, size float64) float64 { return base + float64(float64(n)*size) }

// off is by how many of its own steps a float64 is off another one.
func off(value, from float64) int64 {
	return int64(math.Float64bits(value) - math.Float64bits(from))
}

// by is the float64 that is off another one by so many steps.
func by(from float64, steps int64) float64 {
	return math.Float64frombits(math.Float64bits(from) + uint64(steps))
}

// write writes the integrals of a bucket.
func (g *integrals) write(to tape.Writer, b *Bucket) {
	v0, i0 := g.bases(b.Arc)
	m, n := steps(b.V, v0, g.v), steps(b.I, i0, g.i)
	e0, about := g.baseOfEnergy(b.Arc, m, n)
	k := steps(b.Energy, e0, g.e)
	to.Number(ofVoltage, m-g.last[0])
	to.Number(ofVoltageRest, off(b.V, stepsFrom(v0, m, g.v)))
	to.Number(ofCurrent, n-g.last[1])
	to.Number(ofCurrentRest, off(b.I, stepsFrom(i0, n, g.i)))
	to.Number(ofEnergy, k-about)
	to.Number(ofEnergyRest, off(b.Energy, stepsFrom(e0, k, g.e)))
	g.last = [3]int64{m, n, k}
}

// read reads them.
func (g *integrals) read(from tape.Reader, b *Bucket) {
	v0, i0 := g.bases(b.Arc)
	m := g.last[0] + from.Number(ofVoltage)
	b.V = by(stepsFrom(v0, m, g.v), from.Number(ofVoltageRest))
	n := g.last[1] + from.Number(ofCurrent)
	b.I = by(stepsFrom(i0, n, g.i), from.Number(ofCurrentRest))
	e0, about := g.baseOfEnergy(b.Arc, m, n)
	k := about + from.Number(ofEnergy)
	b.Energy = by(stepsFrom(e0, k, g.e), from.Number(ofEnergyRest))
	g.last = [3]int64{m, n, k}
}
