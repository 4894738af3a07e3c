package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pushed returns a window of four readings of 10 ms, with values pushed into it.
func pushed(values ...float64) *window {
	w := &window{length: 4e7}
	for k, v := range values {
		at := 5e9 + int64(k)*1e7
		w.push(reading{start: at, end: at + 1e7, weight: 1e7, mean: v})
	}
	return w
}

// The mean is over the last four readings and no other, and is known with the fourth.
func TestWindow_mean(t *testing.T) {
	_, full := pushed(1, 2, 3).mean()
	require.False(t, full)
	mean, full := pushed(1, 2, 3, 4).mean()
	require.True(t, full, "the arc has burned for the window exactly")
	require.Equal(t, 2.5, mean)
	mean, full = pushed(1, 2, 3, 4, 10).mean()
	require.True(t, full)
	require.Equal(t, 4.75, mean, "of 2, 3, 4 and 10")
}

// A window with arc for less than half of it has no mean.
func TestWindow_halfFull(t *testing.T) {
	for weight, want := range map[float64]bool{1e7: true, 1e7 - 1: false} {
		w := &window{length: 4e7}
		w.push(reading{start: 0, end: 2e7, weight: 1e7, mean: 7})
		w.push(reading{start: 2e7, end: 4e7, weight: weight, mean: 7})
		_, full := w.mean()
		require.Equal(t, want, full, weight)
	}
}

// Two windows are kept, so that a change can be dated, and old readings are thrown
// out 256 at a time.
func TestWindow_keepsTwoWindows(t *testing.T) {
	values := make([]float64, 8+255)
	for k := range values {
		values[k] = float64(k)
	}
	w := pushed(values[:8]...)
	require.Len(t, w.kept(), 8)
	w = pushed(values[:9]...)
	require.Len(t, w.kept(), 8)
	require.Equal(t, 1.0, w.kept()[0].mean)
	w = pushed(values...)
	assert.Len(t, w.items, 8+255, "none is thrown out yet")
	assert.Len(t, w.kept(), 8)
	w = pushed(append(values, 1000)...)
	assert.Len(t, w.items, 8, "all of them at once")
	mean, full := w.mean()
	require.True(t, full)
	require.Equal(t, (260.0+261+262+1000)/4, mean, "and the mean is none the worse")
	require.Equal(t, int64(5e9), w.since)
}

func TestWindow_clear(t *testing.T) {
	w := pushed(1, 2, 3, 4, 5)
	w.clear()
	require.Empty(t, w.kept())
	w.push(reading{start: 9e9, end: 9e9 + 4e7, weight: 4e7, mean: 3})
	mean, full := w.mean()
	require.True(t, full)
	require.Equal(t, 3.0, mean)
	require.Equal(t, int64(9e9), w.since)
}
