package harmonic

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

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
