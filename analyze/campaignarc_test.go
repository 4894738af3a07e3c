package analyze

import (
	"math"
	"math/rand/v2"
)

// shapes are the arcs of the campaign, one value each 20 us.
var shapes = []struct {
	name string
	draw func(dice *rand.Rand, n int) (v, i []float64)
}{{"dip", dipping}, {"pulse", pulsing}, {"spray", spraying}}

// dipping is a short circuit arc as real ones are: 60 to 120 shorts a second of 1 to 4
// ms, in which the current rises by 60 to 120 A a millisecond and then falls back.
func dipping(dice *rand.Rand, n int) (v, i []float64) {
	v, i = make([]float64, 0, n+1000), make([]float64, 0, n+1000)
	current, rise := 130.0, 60+60*dice.Float64()
	for len(v) < n {
		for left := int((5 + 8*dice.Float64()) * 50); left > 0; left-- {
			current += (125 - current) * grain / 2e-3
			v, i = append(v, 19+0.02*current), append(i, current)
		}
		for left := int((1 + 3*dice.Float64()) * 50); left > 0; left-- {
			current += rise * grain * 1000
			v, i = append(v, 1+0.02*current), append(i, current)
		}
	}
	return v[:n], i[:n]
}

// pulsing rises and falls in 60 to 300 us, voltage and current together.
func pulsing(dice *rand.Rand, n int) (v, i []float64) {
	v, i = make([]float64, 0, n), make([]float64, 0, n)
	period, edge := 5e-3+5e-3*dice.Float64(), 60e-6+240e-6*dice.Float64()
	for k := range n {
		at := math.Mod(float64(k)*grain, period)
		high := min(1, at/edge) * min(1, max(0, 2e-3+edge-at)/edge)
		v, i = append(v, 20+9*high), append(i, 60+280*high)
	}
	return v, i
}

// spraying hardly moves.
func spraying(dice *rand.Rand, n int) (v, i []float64) {
	v, i = make([]float64, 0, n), make([]float64, 0, n)
	dv, di := 0.0, 0.0
	for range n {
		dv, di = 0.99*dv+0.05*dice.NormFloat64(), 0.99*di+0.4*dice.NormFloat64()
		v, i = append(v, 28+dv), append(i, 250+di)
	}
	return v, i
}

// filter is a low pass of first order, or of Butterworth's second.
type filter struct {
	second    bool
	keep      float64 // first: what stays of the value before
	b, a1, a2 float64 // second: b, 2b, b over 1, a1, a2
}

// newFilter makes one with a bandwidth. Source of the second: the bilinear transform;
// standing: memory.
func newFilter(bandwidth float64, second bool) filter {
	w := 2 * math.Pi * bandwidth * grain
	if !second {
		return filter{keep: math.Exp(-w)}
	}
	sin, cos := math.Sincos(w)
	alpha := sin / math.Sqrt2
	return filter{second: true, b: (1 - cos) / 2 / (1 + alpha), a1: -2 * cos / (1 + alpha), a2: (1 - alpha) / (1 + alpha)}
}

// run filters a signal in place, as if it had stood at its first value before.
func (f filter) run(x []float64) {
	x1, x2, y1, y2 := x[0], x[0], x[0], x[0]
	for k := range x {
		in := x[k]
		if f.second {
			x[k] = f.b*(in+2*x1+x2) - f.a1*y1 - f.a2*y2
		} else {
			x[k] = f.keep*y1 + (1-f.keep)*in
		}
		x2, x1, y2, y1 = x1, in, y1, x[k]
	}
}
