package record

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// What a glance says is what the first group of the window has.
func TestGlance(t *testing.T) {
	w, path := unhurried(t)
	_, ok, err := glance(t, path, 0, 0, 1)
	require.NoError(t, err)
	require.False(t, ok)
	require.NoError(t, w.Source(box()))
	for k := range int64(3) {
		b := arcBlock(1001) // 0.1 ms apart
		b.Tick = k * nanosPerSecond
		require.NoError(t, w.Block(b))
		slow := series.Block{Kind: series.Slow, Ticks: []int64{b.Tick, b.Tick + 1}, Channel: []uint8{2, 2}, Value: []float64{1, 2}}
		require.NoError(t, w.Block(&slow))
		if k == 1 {
			described := box()
			described.Firmware = "second"
			require.NoError(t, w.Source(described))
		}
		require.NoError(t, w.Sync())
	}
	require.NoError(t, w.Close())
	for from, firmware := range map[int64]string{0: box().Firmware, 2 * nanosPerSecond: "second"} {
		g, ok, err := glance(t, path, 0, from, from+1)
		require.NoError(t, err)
		require.True(t, ok)
		require.True(t, g.Described)
		require.Equal(t, firmware, g.Source.Firmware)
		require.InEpsilon(t, 10_000, g.Rate, 1e-9, "of voltage and current alone")
		require.Positive(t, g.Group)
	}
	for _, outside := range [][3]int64{{0, nanosPerSecond / 2, nanosPerSecond}, {1, 0, nanosPerSecond}} {
		_, ok, err = glance(t, path, int(outside[0]), outside[1], outside[2])
		require.NoError(t, err)
		require.False(t, ok)
	}
}

func glance(t *testing.T, path string, epoch int, from, until int64) (Glance, bool, error) {
	t.Helper()
	r, err := OpenSamples(path)
	require.NoError(t, err)
	g, ok, err := r.Glance(epoch, from, until)
	require.NoError(t, r.Close())
	return g, ok, err
}
