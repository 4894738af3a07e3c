package record

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// beforeZero makes a record that begins 2.5 s before tick 0: samples of voltage and
// current every half second, k as the code of the k-th and -k as its current.
func beforeZero(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "job.arc")
	w, err := Create(path, Meta{})
	require.NoError(t, err)
	require.NoError(t, w.Source(box()))
	b := series.Block{Kind: series.Arc, Tick: -2_500_000_000, Step: 500_000_000}
	for k := range int32(8) {
		b.V, b.I = append(b.V, 100*k), append(b.I, -10*k)
	}
	require.NoError(t, w.Block(&b))
	slow := series.Block{
		Kind: series.Slow, Ticks: []int64{-1_000_000_001, -1_000_000_000, -1, 0, 1},
		Channel: []uint8{3, 3, 3, 3, 3}, Value: []float64{1, 2, 3, 4, 5},
	}
	require.NoError(t, w.Block(&slow))
	require.NoError(t, w.Close())
	return path
}

// Worked out by hand: second s holds the ticks from s*10^9 up to the next, also
// before tick 0, where a division that cuts off would put two seconds into one.
func TestSeconds_BeforeTickZero(t *testing.T) {
	r, err := Open(beforeZero(t))
	require.NoError(t, err)
	volts := []Second{ // samples at -2.5; -2, -1.5; -1, -0.5; 0, 0.5; 1 s
		{Tick: -3e9, Min: 0, Max: 0, Mean: 0, Count: 1},
		{Tick: -2e9, Min: 1, Max: 2, Mean: 1.5, Count: 2},
		{Tick: -1e9, Min: 3, Max: 4, Mean: 3.5, Count: 2},
		{Tick: 0, Min: 5, Max: 6, Mean: 5.5, Count: 2},
		{Tick: 1e9, Min: 7, Max: 7, Mean: 7, Count: 1},
	}
	for _, test := range []struct {
		from, until int64
		want        []Second
	}{
		{math.MinInt64 + 1, math.MaxInt64, volts},
		{-3e9, 2e9, volts},
		{-2e9, 0, volts[1:3]},
		{-2e9 - 1, 1, volts[0:4]},
		{-1, 0, volts[2:3]},
		{0, 1, volts[3:4]},
	} {
		got, err := r.Seconds(series.VoltageChannel, 0, test.from, test.until)
		require.NoError(t, err)
		require.Len(t, got, len(test.want), "%d to %d", test.from, test.until)
		for k, want := range test.want {
			require.Equal(t, [2]int64{want.Tick, want.Count}, [2]int64{got[k].Tick, got[k].Count})
			require.InDeltaSlice(t, []float64{want.Min, want.Max, want.Mean}, []float64{got[k].Min, got[k].Max, got[k].Mean}, 1e-12)
		}
		extremes, err := r.Extremes([]int{series.VoltageChannel}, 0, test.from, test.until)
		require.NoError(t, err)
		require.Len(t, extremes[0], len(test.want), "extremes, %d to %d", test.from, test.until)
		for k, want := range test.want {
			require.Equal(t, want.Tick, extremes[0][k].Tick)
		}
	}
	amperes, err := r.Seconds(series.CurrentChannel, 0, -2e9, -1e9)
	require.NoError(t, err)
	require.Len(t, amperes, 1)
	require.InDeltaSlice(t, []float64{-2, -1, -1.5}, []float64{amperes[0].Min, amperes[0].Max, amperes[0].Mean}, 1e-12)

	slow, err := r.Seconds(3, 0, math.MinInt64+1, math.MaxInt64)
	require.NoError(t, err)
	require.Equal(t, []Second{
		{Tick: -2e9, Min: 1, Max: 1, Mean: 1, Count: 1},
		{Tick: -1e9, Min: 2, Max: 3, Mean: 2.5, Count: 2},
		{Tick: 0, Min: 4, Max: 5, Mean: 4.5, Count: 2},
	}, slow)
	require.NoError(t, r.Close())
}

// samplesWithin counts from the first sample to the end of its second.
func TestSamplesWithin(t *testing.T) {
	const second = nanosPerSecond
	for _, test := range []struct {
		tick, step int64
		n, want    int
	}{
		{0, second / 4, 10, 4},
		{1, second / 4, 10, 4},
		{second - 1, second / 4, 10, 1},
		{second / 2, second / 4, 10, 2},
		{second/2 + 1, second / 4, 10, 2},
		{0, second, 3, 1},
		{0, second - 1, 3, 2},
		{0, 2 * second, 3, 1},
		{-second, second / 4, 10, 4},
		{-1, second / 4, 10, 1},
		{-second / 2, second / 4, 10, 2},
		{-second/2 - 1, second / 4, 10, 3},
		{5, 1, 3, 3},   // fewer than the second would take
		{5, 0, 7, 7},   // all at one tick
		{5, -1, 7, 1},  // a step back: one by one
		{7, 10, 1, 1},  // one is always within
		{-7, 10, 5, 1}, // -7, then 3
	} {
		require.Equal(t, test.want, samplesWithin(test.tick, test.step, test.n), "%+v", test)
	}
}

func TestSecondOf(t *testing.T) {
	for tick, want := range map[int64]int64{
		0: 0, 1: 0, 999_999_999: 0, 1_000_000_000: 1, -1: -1, -999_999_999: -1, -1_000_000_000: -1, -1_000_000_001: -2,
		math.MaxInt64: 9_223_372_036, math.MinInt64: -9_223_372_037,
	} {
		require.Equal(t, want, secondOf(tick), "tick %d", tick)
	}
}
