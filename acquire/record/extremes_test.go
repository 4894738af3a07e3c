package record

import (
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// TestExtremes: read in one go, of a record under way and of a finished one, the
// extremes are those of the summaries, whatever the scale and the window.
func TestExtremes(t *testing.T) {
	path := filepath.Join(t.TempDir(), "extremes.arc")
	w, err := Create(path, Meta{Job: "extremes"})
	require.NoError(t, err)
	const n, step = 60_000, 250_000 // 15 s at 4 kHz
	v, i := dippingArc(n, 3, 4)
	source := box()
	for k := 0; k < n; k += 2300 {
		if k > n/2 { // a sensor that is turned round
			source.Channels[0].Scale = -0.02
		}
		require.NoError(t, w.Source(source))
		to := min(k+2300, n)
		require.NoError(t, w.Block(&series.Block{Kind: series.Arc, Tick: int64(k) * step, Step: step, V: v[k:to], I: i[k:to]}))
		require.NoError(t, w.Block(&series.Block{Kind: series.Slow, Ticks: []int64{int64(k) * step}, Channel: []uint8{3}, Value: []float64{float64(k)}}))
		require.NoError(t, w.Sync())
	}
	requireExtremes(t, path)
	require.NoError(t, w.Close())
	requireExtremes(t, path)
}

// What was read of a finished record serves windows within it: of the same epoch and
// channels, and of no second beyond.
func TestExtremes_AreKeptForWindowsWithin(t *testing.T) {
	const second = nanosPerSecond
	r, err := Open(beforeZero(t))
	require.NoError(t, err)
	channels := []int{series.VoltageChannel, 3}
	read := func() {
		_, err := r.Extremes(channels, 0, -2*second, 1*second)
		require.NoError(t, err)
		require.NotNil(t, r.kept)
		r.kept.found = [][]Extremes{{{Tick: -2 * second, Min: 42}, {Tick: 0, Min: 43}}, nil} // as nobody measured
	}
	for _, test := range []struct {
		epoch       int
		channels    []int
		from, until int64
		kept        []Extremes
	}{
		{0, channels, -2 * second, 1 * second, []Extremes{{Tick: -2 * second, Min: 42}, {Tick: 0, Min: 43}}},
		{0, channels, -2*second + 1, 1*second - 1, []Extremes{{Tick: -2 * second, Min: 42}, {Tick: 0, Min: 43}}},
		{0, channels, -1 * second, 1 * second, []Extremes{{Tick: 0, Min: 43}}},
		{0, channels, -2 * second, 0, []Extremes{{Tick: -2 * second, Min: 42}}},
		{0, channels, -2*second - 1, 1 * second, nil},
		{0, channels, -2 * second, 1*second + 1, nil},
		{1, channels, -2 * second, 1 * second, nil},
		{0, []int{3, series.VoltageChannel}, -2 * second, 1 * second, nil},
	} {
		read()
		found, err := r.Extremes(test.channels, test.epoch, test.from, test.until)
		require.NoError(t, err)
		if test.kept != nil {
			require.Equal(t, test.kept, found[0], "%+v", test)
			continue
		}
		for _, e := range found[0] {
			require.Less(t, e.Min, 42.0, "%+v", test)
		}
		require.Equal(t, test.epoch == 0, len(found[0]) > 0, "%+v", test)
	}
	require.NoError(t, r.Close())
}

// A stretch is widened to whole seconds as far as ticks go.
func TestWholeSeconds(t *testing.T) {
	const second = nanosPerSecond
	for _, test := range [][4]int64{
		{0, second, 0, second},
		{1, second + 1, 0, 2 * second},
		{-1, 1, -second, second},
		{-second, -second + 1, -second, 0},
		{math.MinInt64, math.MaxInt64, math.MinInt64, math.MaxInt64},
		{math.MinInt64 + 1, math.MaxInt64 - 1, math.MinInt64 + 1, math.MaxInt64 - 1},
		{math.MinInt64 + second + 1, math.MaxInt64 - second - 1, -9_223_372_036 * second, 9_223_372_036 * second},
	} {
		from, until := wholeSeconds(test[0], test[1])
		require.Equal(t, [2]int64{test[2], test[3]}, [2]int64{from, until}, "%d to %d", test[0], test[1])
	}
}

func requireExtremes(t *testing.T, path string) {
	reader, err := Open(path)
	require.NoError(t, err)
	r := rand.New(rand.NewPCG(1, 1))
	channels := []int{series.CurrentChannel, 3, series.VoltageChannel}
	for k := range 30 {
		from, until := int64(math.MinInt64), int64(math.MaxInt64)
		if k > 0 { // narrower ones, after all of it
			from = r.Int64N(15e9)
			until = from + 1 + r.Int64N(15e9)
		}
		found, err := reader.Extremes(channels, 0, from, until)
		require.NoError(t, err)
		for c, channel := range channels {
			seconds, err := reader.Seconds(channel, 0, from, until)
			require.NoError(t, err)
			var want []Extremes
			for _, s := range seconds {
				want = append(want, Extremes{s.Tick, s.Min, s.Max})
			}
			require.Equal(t, want, found[c])
		}
	}
	for _, nothing := range [][2]int64{{0, 1e9}, {30e9, 40e9}} {
		found, err := reader.Extremes(channels, 1, nothing[0], nothing[1])
		require.NoError(t, err)
		require.Equal(t, make([][]Extremes, 3), found)
	}
	whole, err := reader.extremesOf(0, 1000, channels, 0, math.MinInt64, math.MaxInt64)
	require.NoError(t, err)
	for last := range int64(40) { // a second that is cut between the halves is one again
		halves, err := reader.inHalves(0, 2*last, channels, 0, math.MinInt64, math.MaxInt64)
		require.NoError(t, err)
		want, err := reader.extremesOf(0, 2*last, channels, 0, math.MinInt64, math.MaxInt64)
		require.NoError(t, err)
		require.Equal(t, want, halves)
		if last == 39 {
			require.Equal(t, whole, halves)
		}
	}
	found, err := reader.Extremes(nil, 0, 0, 1)
	require.NoError(t, err)
	require.Empty(t, found)
	require.NoError(t, reader.Close())
}
