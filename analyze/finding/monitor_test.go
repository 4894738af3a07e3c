package finding

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

// ST-15 (constructed): 50 samples of 20.0, then 50 of 22.0, part at 50.
func TestChange_findsTheStep(t *testing.T) {
	var x []reading
	for k := range 100 {
		mean := 20.0
		if k >= 50 {
			mean = 22
		}
		x = append(x, reading{mean: mean, weight: 1})
	}
	require.Equal(t, 50, change(x))
	require.Zero(t, change(x[:50]))
	require.Zero(t, change(x[:1]))
}

// play runs a monitor over values 10 ms apart.
func play(values []float64) []deviation {
	var found []deviation
	m := &monitor{limits: quantity.Range[quantity.Ratio]{Low: 10, High: 20, HasLow: true, HasHigh: true}, recent: window{length: 5e8}, dwell: 1e9}
	m.report = func(d deviation) { found = append(found, d) }
	for k, v := range values {
		at := int64(k) * 1e7
		m.add(reading{start: at, end: at + 1e7, weight: 1e7, mean: v})
	}
	m.end()
	return found
}

func level(runs ...float64) []float64 { // value, seconds, value, seconds ...
	var x []float64
	for k := 0; k < len(runs); k += 2 {
		for range int(runs[k+1] * 100) {
			x = append(x, runs[k])
		}
	}
	return x
}

func TestMonitor_dwell(t *testing.T) {
	require.Empty(t, play(level(15, 3, 22, 0.9, 15, 3)), "shorter than the dwell")
	d := play(level(15, 3, 24, 2, 15, 3))
	require.Len(t, d, 1)
	require.InDelta(t, 3e9, d[0].start.start, 1e7)
	require.InDelta(t, 5e9, d[0].end.start, 1e7)
	require.Equal(t, 24.0, d[0].worst)
	require.Equal(t, 20.0, d[0].limit)
}

func TestMonitor_outFromTheStrikeToTheEnd(t *testing.T) {
	d := play(level(22, 4))
	require.Len(t, d, 1)
	require.Zero(t, d[0].start.start)
}

func TestMonitor_bothSides(t *testing.T) {
	d := play(level(22, 3, 5, 3))
	require.Len(t, d, 2)
	require.Equal(t, 20.0, d[0].limit)
	require.Equal(t, 10.0, d[1].limit)
	require.Equal(t, 5.0, d[1].worst)
}

func TestMonitor_singleDipsAreNeverJudged(t *testing.T) {
	x := level(15, 10)
	for k := range x {
		if k%25 == 0 {
			x[k] = 0
		}
	}
	require.Empty(t, play(x))
}
