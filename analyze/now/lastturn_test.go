package now

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/arc"
	"arctally/analyze/pass"
)

// burned is 100 ms of an arc interval up to a number of turns, of which the arc burned
// 80 ms at so many watts, and 10 ms more in a window that is only partly in arc.
func burned(turns, watts float64) *pass.Bucket {
	return &pass.Bucket{
		Bucket: arc.Bucket{Start: 7 * second, End: 7*second + 100_000_000, Arc: 80_000_000, Partial: 10_000_000, Energy: watts * 90e6},
		Turns:  turns,
	}
}

func TestLastTurn_isAllThereIsAtFirst(t *testing.T) {
	for name, way := range map[string]float64{"clockwise": 1, "anti-clockwise": -1} {
		t.Run(name, func(t *testing.T) {
			var l lastTurn
			_, _, known := l.power()
			assert.False(t, known, "nothing has burned")
			_, known = l.rotation()
			assert.False(t, known)
			l.Begin(nil, pass.Position{Turns: 5})
			for k := range 32 { // 32/512 of a turn
				l.Burn(burned(5+way*float64(k+1)/512, 2000))
			}
			power, over, known := l.power()
			require.True(t, known)
			assert.InDelta(t, 2000, float64(power), 1e-9)
			assert.Equal(t, 0.0625, over)
			n, known := l.rotation()
			require.True(t, known)
			assert.InDelta(t, 0.0625/3.2, float64(n), 1e-12, "32 buckets of 100 ms")
		})
	}
}

// The first turn burns at 1000 W, the second at 2000 W, and the torch goes half as fast: of
// the last turn only the second counts.
func TestLastTurn_forgetsTheTurnBefore(t *testing.T) {
	var l lastTurn
	l.Begin(nil, pass.Position{})
	for k := range 256 {
		l.Burn(burned(float64(k+1)/256, 1000))
	}
	for k := range 512 {
		l.Burn(burned(1+float64(k+1)/512, 2000))
	}
	power, over, known := l.power()
	require.True(t, known)
	assert.InDelta(t, 2000, float64(power), 1e-9)
	assert.Equal(t, 1.0, over)
	n, _ := l.rotation()
	assert.InDelta(t, 1/51.2, float64(n), 1e-12)
	for k := range 64 { // an eighth of a turn at once the speed
		l.Burn(burned(2+float64(k+1)/512, 500))
	}
	n, _ = l.rotation()
	assert.InDelta(t, 1/51.2, float64(n), 1e-12)
	power, _, _ = l.power()
	assert.InDelta(t, (7*2000+500)/8.0, float64(power), 1e-9, "an eighth of the turn at 500 W")
}

// The rotation is that of the last eighth of a turn: time without data is none of it, nor
// is what the torch went without arc.
func TestLastTurn_rotationOfWhatBurned(t *testing.T) {
	var l lastTurn
	l.Begin(nil, pass.Position{Turns: 4})
	for k := range 128 { // slowly at first
		l.Burn(burned(4+float64(k+1)/1024, 2000))
	}
	l.Rest(pass.Position{})
	l.Resume(pass.Position{Turns: 4.125}, pass.Position{Turns: 4.25}, 1) // over a gap
	_, over, _ := l.power()
	assert.Equal(t, 0.25, over, "the gap is way too")
	for k := range 16 {
		b := burned(4.25+float64(k+1)/64, 2000)
		b.Missing = 20_000_000
		l.Burn(b)
	}
	n, known := l.rotation()
	require.True(t, known)
	assert.InDelta(t, 0.125/(8*0.080), float64(n), 1e-12)
	l.End(nil)
	l.Begin(nil, pass.Position{Turns: 3})
	_, known = l.rotation()
	assert.False(t, known, "another pass")
	still := burned(3, 2000)
	l.Burn(still)
	_, known = l.rotation()
	assert.False(t, known, "the torch stands")
	_, _, known = l.power()
	assert.True(t, known)
	l.Begin(nil, pass.Position{Turns: 3})
	empty := burned(3.1, 0)
	empty.Arc, empty.Partial, empty.Missing = 0, 0, 100_000_000
	l.Burn(empty)
	_, known = l.rotation()
	assert.False(t, known, "all of it is without data")
	_, _, known = l.power()
	assert.False(t, known)
}
