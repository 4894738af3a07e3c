package harmonic

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

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
	assert.InDelta(t, 1.04321, c.fitting().sharpen(1.03, 1.055), 1e-6)
	assert.InDelta(t, 1.04321, c.fitting().sharpen(1.04, 1.07), 1e-6)
	assert.InDelta(t, 1.04321, c.fitting().sharpen(1.02, 1.044), 1e-6)
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
