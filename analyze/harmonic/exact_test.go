package harmonic

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// drawn is a curve without noise: at so many points of a turn, a level of 5, a drift of
// 0.2 a turn, and waves; the points have weights of 1, 2 and 3 in turn.
func drawn(turns float64, waves func(x float64) float64) *Curve {
	const points = 40
	var c Curve
	for k := range int(math.Round(turns*points)) + 1 {
		x := float64(k) / points
		c.Add(x, 5+0.2*x+waves(x), float64(1+k%3))
	}
	return &c
}

// wave returns a wave of an order with its crest in turns of the wave.
func wave(order, amplitude, crest float64) func(x float64) float64 {
	return func(x float64) float64 { return amplitude * math.Cos(2*math.Pi*(order*x-crest)) }
}

func both(a, b func(x float64) float64) func(x float64) float64 {
	return func(x float64) float64 { return a(x) + b(x) }
}

// Where a curve is nothing but the model, the fit is the model.
func TestCurve_fit_isTheModel(t *testing.T) {
	for name, orders := range map[string][]float64{
		"one": {1}, "off one": {0.87}, "the double": {1.1, 2.2}, "another": {1.1, 3}, "the lower one second": {2, 1},
	} {
		t.Run(name, func(t *testing.T) {
			made := wave(orders[0], 3, 0.2)
			if len(orders) == 2 {
				made = both(made, wave(orders[1], 0.7, 0.9))
			}
			c := drawn(5.3, made)
			m, ok := c.fit(orders...)
			require.True(t, ok)
			assert.InDelta(t, 5.3, c.Turns(), 1e-12)
			assert.InDelta(t, 5.3/2, m.middle, 1e-12)
			assert.InDelta(t, 5+0.2*m.middle, m.level, 1e-9)
			assert.InDelta(t, 0.2, m.drift, 1e-9)
			assert.InDelta(t, 3, m.waves[0].Amplitude(), 1e-9)
			assert.InDelta(t, 9, m.waves[0].Power(), 1e-8)
			assert.InDelta(t, 0.2, m.waves[0].Crest(), 1e-9)
			if len(orders) == 2 {
				assert.InDelta(t, 0.7, m.waves[1].Amplitude(), 1e-9)
				assert.InDelta(t, 0.9, m.waves[1].Crest(), 1e-9)
			}
			squares, mean := 0.0, c.Mean()
			for k, y := range c.Y {
				squares += c.W[k] * (y - mean) * (y - mean)
			}
			assert.InEpsilon(t, squares, m.explained, 1e-9, "all of it")
		})
	}
}

// Level, drift and one wave are four terms: four points fit anything.
func TestCurve_Fit_needsMorePointsThanTerms(t *testing.T) {
	var c Curve
	for _, x := range []float64{0, 0.2, 0.45, 0.8} {
		c.Add(x, wave(1, 2, 0.1)(x), 1)
	}
	_, ok := c.Fit(1)
	assert.False(t, ok)
	c.Add(1.1, wave(1, 2, 0.1)(1.1), 1)
	waves, ok := c.Fit(1)
	assert.True(t, ok)
	assert.InDelta(t, 2, waves[0].Amplitude(), 1e-9)
	assert.InDelta(t, 2*math.Cos(0.2*math.Pi), waves[0].Cos, 1e-9)
	assert.InDelta(t, 2*math.Sin(0.2*math.Pi), waves[0].Sin, 1e-9)
}

func TestCurve_Mean(t *testing.T) {
	var c Curve
	assert.Zero(t, c.Mean())
	assert.Zero(t, c.Turns())
	c.Add(7, 10, 1)
	c.Add(4.5, 20, 3)
	assert.InDelta(t, 17.5, c.Mean(), 1e-12)
	assert.InDelta(t, 2.5, c.Turns(), 1e-12, "however the torch turns")
}

// Over ten turns the spectrum has places from order 0.5 to 6.5, a tenth apart: 61, less
// three at each of the six whole orders. A wave at 2.5 is all the power at one of them.
func TestCurve_Noise_places(t *testing.T) {
	n := drawn(10, both(wave(1, 50, 0), wave(2.5, 2, 0.3))).Noise(1)
	assert.Equal(t, 61-18, n.Places)
	assert.InDelta(t, 4.0/43, n.Power, 0.02)
	n = drawn(10, wave(1.1, 50, 0)).Noise(1.1)
	assert.Equal(t, 66-18, n.Places, "11 true turns: places 6 to 71, less those beside the whole orders")
	assert.Less(t, n.Power, 1.0, "the wave of the torch is none of it")
	assert.Zero(t, drawn(0.95, wave(1, 1, 0)).Noise(1).Places)
	sparse := Curve{X: []float64{0, 2, 4}, Y: []float64{1, 2, 1}, W: []float64{1, 1, 1}}
	assert.Equal(t, Noise{}, sparse.Noise(1), "three points fit nothing")
}

// (1 + 12/(2*3))^-3 = 1/27.
func TestNoise_byHand(t *testing.T) {
	n := Noise{Power: 2, Places: 3}
	assert.InDelta(t, 1.0/27, n.Chance(12), 1e-15)
	assert.InDelta(t, 12, n.PowerAt(1.0/27), 1e-12)
	assert.InDelta(t, 1, n.Uncertainty(), 1e-15)
	silent := Noise{Places: 3}
	assert.Zero(t, silent.Chance(1e-30))
	assert.Equal(t, 1.0, silent.Chance(0))
}
