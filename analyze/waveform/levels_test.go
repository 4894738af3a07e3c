package waveform

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestBinOf(t *testing.T) {
	for v, want := range map[float64]int{0: 0, 0.24: 0, 0.25: 1, 63.74: 254, 63.75: 255, 64: 255, 900: 255, -0.1: 0, -40: 0} {
		require.Equal(t, want, binOf(v), v)
	}
}

// counted are levels that have counted so many voltages in each bin.
func counted(counts map[int]uint64) *levels {
	l := new(levels)
	for bin, n := range counts {
		l.volts[bin] = n
	}
	return l
}

// By hand, with w1*w2*(m1-m2)^2 in bins: of 10, 10 and 20 at 0, 10 and 30 the first threshold
// gives 10*30*(70/3)^2 = 163333, the second 20*20*25^2 = 250000; the latter divides.
// With 40 in the first bin they are 40*30*(70/3)^2 = 653333 and 50*20*28^2 = 784000. With 40 at 0,
// 10 at 20 and 20 at 30 they are 40*30*(80/3)^2 = 853333 and 50*20*26^2 = 676000.
func TestLevels_divide(t *testing.T) {
	for name, c := range map[string]struct {
		counts           map[int]uint64
		low, high, share float64 // levels in bins
	}{
		"two below":        {map[int]uint64{0: 10, 10: 10, 30: 20}, 5, 30, 0.5},
		"more of them":     {map[int]uint64{0: 40, 10: 10, 30: 20}, 2, 30, 5.0 / 7},
		"two above":        {map[int]uint64{0: 40, 20: 10, 30: 20}, 0, 80.0 / 3, 4.0 / 7},
		"few, far away":    {map[int]uint64{0: 1, 100: 500, 104: 499}, 0, 100 + 4*499.0/999, 0.001},
		"many, near":       {map[int]uint64{0: 1, 10: 5000, 60: 5000}, 50000.0 / 5001, 60, 5001.0 / 10001},
		"a single voltage": {map[int]uint64{80: 9}, 0, 0, 0},
	} {
		low, high, share := counted(c.counts).divide()
		if c.share > 0 {
			c.low, c.high = middle(0)+c.low/binsPerVolt, middle(0)+c.high/binsPerVolt
		}
		require.InDelta(t, c.low, low, 1e-9, name)
		require.InDelta(t, c.high, high, 1e-9, name)
		require.InDelta(t, c.share, share, 1e-12, name)
	}
}

// There are two levels from 3 V and 3 in a thousand samples on. A short begins at 0.4 of the
// rise, and ends at 0.6.
func TestLevels_find(t *testing.T) {
	for name, c := range map[string]struct {
		counts map[int]uint64
		want   bool
	}{
		"three volts":          {map[int]uint64{32: 300, 44: 700}, true},
		"less":                 {map[int]uint64{32: 300, 43: 700}, false},
		"a third above":        {map[int]uint64{60: 300, 80: 700}, true},
		"two kinds of arc":     {map[int]uint64{62: 300, 80: 700}, false},
		"three in a thousand":  {map[int]uint64{40: 3, 80: 997}, true},
		"fewer":                {map[int]uint64{40: 3, 80: 998}, false},
		"half as many between": {map[int]uint64{40: 100, 60: 50, 80: 850}, false},
	} {
		l := counted(c.counts)
		l.find()
		require.Equal(t, c.want, l.known, name)
	}
	l := counted(map[int]uint64{40: 300, 80: 700})
	l.find()
	require.Equal(t, 10.125, l.low)
	require.Equal(t, 20.125, l.high)
	require.Equal(t, 14.125, l.enter)
	require.Equal(t, 16.125, l.leave)
}

// Half way is a tenth of the rise either side: from 10 to 20 V that is 14.5 to 15.5 V less
// half of it, bins 56 to 64, against bins 36 to 44.
func TestLevels_apart(t *testing.T) {
	for name, c := range map[string]struct {
		counts map[int]uint64
		want   bool
	}{
		"half of the lower one": {map[int]uint64{40: 100, 60: 50}, true},
		"more than half":        {map[int]uint64{40: 100, 60: 51}, false},
		"at the ends":           {map[int]uint64{36: 50, 44: 50, 56: 25, 64: 25}, true},
		"and one more":          {map[int]uint64{36: 50, 44: 50, 56: 26, 64: 25}, false},
		"and one more above":    {map[int]uint64{36: 50, 44: 50, 56: 25, 64: 26}, false},
		"beyond the ends":       {map[int]uint64{36: 50, 44: 50, 55: 900, 65: 900}, true},
		"not of the lower one":  {map[int]uint64{35: 50, 45: 50, 60: 1}, false},
	} {
		require.Equal(t, c.want, counted(c.counts).apart(10, 20), name)
	}
}

// Levels are first looked for after 0.1 s, and what was seen counts half once it is more
// than 8 s.
func TestLevels_learn(t *testing.T) {
	w := &aggregate{time: 60e6}
	w.volts[40], w.volts[80] = 300, 700
	l := newLevels()
	l.learn(w)
	require.False(t, l.known)
	w.time = 40e6
	l.learn(w)
	require.True(t, l.known, "after 0.1 s")
	require.EqualValues(t, 600, l.volts[40])
	w.time = 7_900_000_000
	l.learn(w)
	require.EqualValues(t, 900, l.volts[40], "8 s")
	require.EqualValues(t, int64(8_000_000_000), l.time)
	w.time = 2
	l.learn(w)
	require.EqualValues(t, 600, l.volts[40])
	require.EqualValues(t, 1400, l.volts[80])
	require.EqualValues(t, int64(4_000_000_001), l.time)
}

// A look at a window that is not complete sets the levels, and counts nothing.
func TestLevels_look(t *testing.T) {
	w := &aggregate{time: 200e6}
	w.volts[80] = 700
	l := newLevels()
	l.look(w)
	require.False(t, l.known)
	w.volts[40] = 300
	l.look(w)
	require.True(t, l.known)
	require.Equal(t, 14.125, l.enter)
	require.Zero(t, l.volts[80])
	require.Zero(t, l.time)
}
