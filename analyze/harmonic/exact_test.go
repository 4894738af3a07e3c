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

// 6*2/(4 + 4*2) = 1 over 2*pi*10.
func TestUncertainty_byHand(t *testing.T) {
	u := uncertainty([mostOrders]Wave{{Cos: 2}, {Cos: 1, Sin: 1}}, Noise{Power: 2}, 10)
	assert.InDelta(t, 0.015915494, u, 1e-9)
}

// A rhythm without noise is found where it is, up to the ends of the search and no further.
func TestCurve_FindRhythm_exact(t *testing.T) {
	for name, c := range map[string]struct {
		turns, order float64
		twice        bool
		want         bool
	}{
		"as declared":                     {10, 1, false, true},
		"slow":                            {10, 0.78, false, true},
		"fast":                            {10, 1.33, false, true},
		"oval":                            {10, 1.07, true, true},
		"as slow as is looked for":        {10, 0.728, false, true},
		"slower":                          {10, 0.722, false, false},
		"as fast as is looked for":        {10, 1.36, false, true},
		"faster":                          {10, 1.372, false, false},
		"of 3.5 turns":                    {3.5, 1, true, true},
		"of 3.54 turns that were 4.6":     {4.6, 0.77, true, true},
		"of 3.47 turns that were 4.5":     {4.5, 0.77, true, false},
		"of 3.4 turns":                    {3.4, 1, false, false},
		"of 5.5 turns":                    {5.5, 1, false, true},
		"of 4.5 turns that were 3.4":      {4.5, 0.75, false, false},
		"twice of a torch twice as slow":  {10, 0.5, true, true}, // an oval bore at half the order looks like once at the order
		"nothing, all level and drifting": {10, 0, false, false},
	} {
		t.Run(name, func(t *testing.T) {
			made, want := wave(c.order, 2, 0.3), c.order
			switch {
			case c.twice && c.order < slowest:
				made, want = wave(2*c.order, 2, 0.3), 2*c.order
			case c.twice:
				made = wave(2*c.order, 2, 0.3)
			case c.order == 0:
				made = func(float64) float64 { return 0 }
			}
			r, ok := drawn(c.turns, made).FindRhythm()
			require.Equal(t, c.want, ok)
			if !ok {
				return
			}
			assert.InDelta(t, want, r.Order, 1e-6)
			assert.Less(t, r.Chance, 1e-6)
			assert.Less(t, r.Wander, 0.01, "by unequal weights and a last turn that is not whole")
			assert.Less(t, r.Uncertainty, 0.007)
			stronger := 0
			if c.twice && c.order >= slowest {
				stronger = 1
			}
			assert.Equal(t, stronger, r.stronger())
			assert.InDelta(t, 2, r.Waves[stronger].Amplitude(), 1e-2)
		})
	}
}

// A curve of ten turns is searched at 53 places of an eighth, for two waves: noise has
// that many chances.
func TestCurve_FindRhythm_chance(t *testing.T) {
	c := constructed(10.025, 1, 0.9, 0, dice(7))
	r, ok := c.FindRhythm()
	require.True(t, ok)
	noise := c.Noise(r.Order)
	assert.InEpsilon(t, noise.Chance(r.Waves[0].Power())*2*53/8, r.Chance, 1e-6)
	assert.Greater(t, r.Chance, 1e-20)
}

func TestCurve_sharpen(t *testing.T) {
	c := drawn(10, wave(1.04321, 2, 0.3))
	assert.InDelta(t, 1.04321, c.sharpen(1.03, 1.055), 1e-6)
	assert.InDelta(t, 1.04321, c.sharpen(1.04, 1.07), 1e-6)
	assert.InDelta(t, 1.04321, c.sharpen(1.02, 1.044), 1e-6)
}

// scaled is a wave that is so many times as strong in the second half of ten turns.
func scaled(second float64) *Curve {
	return drawn(10, func(x float64) float64 {
		if x > 5 {
			return second * wave(1, 1, 0)(x)
		}
		return wave(1, 1, 0)(x)
	})
}

// A rhythm lasts where no half is a third less or more than the whole has, but for what
// noise does, and where none of them is below a third of it.
func TestCurve_lasts(t *testing.T) {
	whole := Rhythm{Order: 1, Waves: [mostOrders]Wave{{Cos: 1}}}
	assert.True(t, scaled(1).lasts(whole, Noise{}))
	assert.True(t, scaled(1.32).lasts(whole, Noise{}))
	assert.False(t, scaled(1.35).lasts(whole, Noise{}))
	assert.True(t, scaled(0.68).lasts(whole, Noise{}))
	assert.False(t, scaled(0.65).lasts(whole, Noise{}))
	// Noise of power 0.005 lets another 3*sqrt(2*0.005) = 0.3 through.
	assert.True(t, scaled(1.62).lasts(whole, Noise{Power: 0.005}))
	assert.False(t, scaled(1.65).lasts(whole, Noise{Power: 0.005}))
	// So much noise would let anything through, were it not for the least of it.
	assert.True(t, scaled(0.34).lasts(whole, Noise{Power: 0.5}))
	assert.False(t, scaled(0.32).lasts(whole, Noise{Power: 0.5}))
	few := Curve{X: []float64{0, 1}, Y: []float64{0, 1}, W: []float64{1, 1}}
	assert.False(t, few.lasts(whole, Noise{}))
	// Twice a turn, the second wave is the one that counts.
	oval := Rhythm{Order: 1, Waves: [mostOrders]Wave{{}, {Cos: 1}}}
	assert.True(t, drawn(10, wave(2, 1, 0)).lasts(oval, Noise{}))
	assert.False(t, drawn(10, wave(1, 1, 0)).lasts(oval, Noise{}))
}

// lagging is six turns of a wave of a harmonic, each of which comes late by its own part
// of a turn.
func lagging(harmonic float64, late ...float64) *Curve {
	c := &Curve{}
	for k := range 40 * len(late) {
		x := (float64(k) + 0.5) / 40
		c.Add(x, 5+0.2*x+wave(harmonic, 3, harmonic*late[k/40])(x), 2)
	}
	return c
}

// The phases of the turns, 0.01 and 0.02 of a turn behind their mean and before it: what
// comes late is behind. The root of their mean square is 0.02*sqrt(2/5) = 0.01265.
func TestCurve_correctByPhases(t *testing.T) {
	even := model{level: 5 + 0.2*2.5, drift: 0.2, middle: 2.5}
	for harmonic := range 2 {
		r := Rhythm{Order: 1, Uncertainty: 0.001}
		r.Waves[harmonic] = Wave{Cos: 3}
		late := []float64{-0.02, 0, 0.02, 0, 0}
		c := lagging(float64(harmonic+1), late...)

		quiet := r
		c.correctByPhases(&quiet, even, Noise{})
		assert.InDelta(t, 0.012649, quiet.Wander, 1e-5)
		assert.InDelta(t, 1-0.02/4, quiet.Order, 1e-6, "between the first turn and the last, four apart")
		assert.InDelta(t, math.Hypot(0.001, 0.012649*math.Sqrt2/4), quiet.Uncertainty, 1e-6)

		// Noise of the power 2*(3*2*pi*h*u)^2/5 gives single turns the scatter u = 0.004:
		// three times that, and 0.003, are 0.015.
		noisy, u := r, 0.004
		power := 2 * math.Pow(3*2*math.Pi*float64(harmonic+1)*u, 2) / 5
		c.correctByPhases(&noisy, even, Noise{Power: power})
		assert.Equal(t, 1.0, noisy.Order, "noise alone may do that")
		assert.InDelta(t, 0.012649, noisy.Wander, 1e-5)
		assert.InDelta(t, 0.012649*math.Sqrt(12.0/5)/4, noisy.Uncertainty, 1e-6)
		noisy = r
		noisy.Uncertainty = 0.9
		c.correctByPhases(&noisy, even, Noise{Power: power})
		assert.Equal(t, 0.9, noisy.Uncertainty, "never less than it was")

		// A scatter of 0.0032 makes it 0.0126: less than there is.
		loud := r
		c.correctByPhases(&loud, even, Noise{Power: power * 0.64})
		assert.InDelta(t, 1-0.02/4, loud.Order, 1e-6)
	}
}

func TestCurve_correctByPhases_needsThreeTurns(t *testing.T) {
	even := model{level: 5 + 0.2*1.5, drift: 0.2, middle: 1.5}
	r := Rhythm{Order: 1, Waves: [mostOrders]Wave{{Cos: 3}}}
	two, three := r, r
	lagging(1, 0, 0.05).correctByPhases(&two, even, Noise{})
	assert.Equal(t, r, two)
	lagging(1, -0.05, 0, 0.05).correctByPhases(&three, even, Noise{})
	assert.InDelta(t, 1-0.05, three.Order, 1e-6)
}

// Of three turns and a part, the part counts from more than four fifths of a turn on.
func TestCurve_turnByTurn(t *testing.T) {
	flat := model{level: 5, drift: 0.2}
	for points, want := range map[int]int{120: 3, 120 + 32: 3, 120 + 33: 4} {
		var c Curve
		for k := range points {
			x := 2 - (float64(k)+0.5)/40 // anti-clockwise
			c.Add(x, 5+0.2*x+wave(1, 3, 0.25)(x), 2)
		}
		turns := c.turnByTurn(1, 1, flat)
		require.Len(t, turns, want, "%d points", points)
		for k, turn := range turns[:3] {
			assert.InDelta(t, 0, turn.cos, 1e-9)
			assert.InDelta(t, 80*3/2.0, turn.sin, 1e-9, "half of its amplitude, 80 times")
			assert.InDelta(t, 1.5-float64(k), turn.x, 1e-9)
		}
	}
}

func point(start, end int64, at, weight, value float64) Point {
	return Point{Start: start, End: end, At: at, Turns: at / 1000, Weight: weight, Mean: [Channels]float64{value, 2 * value}}
}

// Two stretches that follow one another within a grain are one, by their weights.
func TestSeries_joins(t *testing.T) {
	const s = settling
	for name, c := range map[string]struct {
		start, end int64
		want       int
	}{
		"within the grain": {s + 10, s + 20, 1}, "longer than it": {s + 10, s + 21, 2}, "overlapping": {s + 9, s + 19, 2}, "apart": {s + 15, s + 20, 1},
	} {
		series := NewSeries(20, 10)
		series.Add(point(s, s+10, 100, 1, 10))
		series.Add(point(c.start, c.end, 200, 3, 20))
		series.Add(point(s+2*ending, s+2*ending+1, 0, 1, 0)) // lets them through
		got := series.Points()
		require.Len(t, got, c.want, name)
		if c.want == 1 {
			assert.InDelta(t, 0.175, got[0].Turns, 1e-12)
			got[0].Turns = 0
			assert.Equal(t, Point{Start: s, End: c.end, At: 175, Weight: 4, Mean: [Channels]float64{17.5, 35}}, got[0], name)
		}
	}
}

// What is struck settles for a second; what is about to go out is 100 ms. Each to the tick.
func TestSeries_timesToTheTick(t *testing.T) {
	series := NewSeries(1, 10)
	series.Strike(1000)
	series.Add(point(1000+settling-1, 1000+settling, 0, 1, 1))  // not settled
	series.Add(point(1000+settling, 1000+settling+10, 0, 0, 2)) // without weight
	series.Add(point(1000+settling, 1000+settling+10, 0, 1, 3))
	series.Add(point(1000+settling+10+ending-1, 1000+settling+10+ending, 0, 1, 4))
	assert.Empty(t, series.Points())
	series.Add(point(1000+settling+10+ending, 1000+settling+20+ending, 0, 1, 5))
	require.Len(t, series.Points(), 1)
	assert.Equal(t, 3.0, series.Points()[0].Mean[0])
	series.Rest() // what waits is too near to the end
	series.Strike(0)
	series.Add(point(10*settling, 10*settling+1, 0, 1, 6))
	series.Add(point(11*settling, 11*settling+1, 0, 1, 7))
	require.Len(t, series.Points(), 2)
	assert.Equal(t, 6.0, series.Points()[1].Mean[0])
	series.Strike(11 * settling)
	series.Add(point(13*settling, 13*settling+1, 0, 1, 8))
	assert.Len(t, series.Points(), 2, "a strike forgets what waits")
	series.Reset()
	assert.Empty(t, series.Points())
}

// Too many stretches are joined in a grain that is twice as long, and again, until there
// are few enough; those that follow are joined in it from the start.
func TestSeries_coarsens(t *testing.T) {
	series := NewSeries(10, 4)
	add := func(k int64) {
		at := settling + k*10
		series.Add(point(at, at+10, float64(k), 1, float64(k)))
	}
	for k := range int64(4) {
		add(k)
	}
	series.Add(point(settling+ending+1000, settling+ending+1001, 0, 1, 0))
	require.Len(t, series.Points(), 4)
	for k := int64(200); k < 205; k++ {
		at := settling + ending + k*10
		series.Add(point(at, at+10, float64(k), 1, float64(k)))
	}
	series.Add(point(settling+4*ending, settling+4*ending+1, 0, 1, 0))
	got := series.Points()
	require.LessOrEqual(t, len(got), 4)
	weight := 0.0
	for _, p := range got {
		weight += p.Weight
	}
	assert.Equal(t, 10.0, weight, "nothing is lost")
	assert.Equal(t, int64(40), series.grain)
	assert.Equal(t, point(settling, settling+40, 1.5, 4, 1.5), got[0])
	series.Reset()
	assert.Equal(t, int64(10), series.grain)
}
