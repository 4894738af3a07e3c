package waveform

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// tenth is the step of these tests in ns: a tenth of a millisecond.
const tenth = 100_000

// told returns a meter that knows its levels: a short begins below 12 V and ends above
// 16 V. The arc burns, and nobody has seen it begin.
func told() *Meter {
	m := NewMeter()
	m.levels = levels{known: true, low: 8, high: 20, enter: 12, leave: 16}
	m.Step(20, 100, tenth)
	return m
}

// steps feeds so many samples.
func (m *Meter) steps(n int, v, i float64) {
	for range n {
		m.Step(v, i, tenth)
	}
}

// short feeds a short of so many steps, from the touch to the first sample of the arc, and
// an arc of so many steps behind it, the last of which touches again.
func (m *Meter) short(n, arc int) {
	m.steps(n-1, 8, 100)
	m.steps(arc, 20, 100)
	m.Step(8, 100, tenth)
}

// On a threshold nothing changes: not at 16 V before the arc was seen, not at 12 V in the
// arc, not at 16 V in the short.
func TestMeter_thresholds(t *testing.T) {
	m := NewMeter()
	m.levels = told().levels
	m.Step(16, 100, tenth)
	require.Equal(t, unknown, m.phase)
	m.Step(16.1, 100, tenth)
	require.Equal(t, burning, m.phase)
	m.Step(12, 100, tenth)
	require.Equal(t, burning, m.phase)
	m.Step(11.9, 100, tenth)
	require.Equal(t, shorted, m.phase)
	m.Step(16, 100, tenth)
	require.Equal(t, shorted, m.phase)
	m.Step(16.1, 100, tenth)
	require.Equal(t, burning, m.phase)
	require.EqualValues(t, 4*tenth, m.window.known, "of six samples the first two told nothing")
	require.EqualValues(t, 2*tenth, m.window.short)
}

// A short of a millisecond is no transfer yet, one as long as the limit no stub; one step
// more is.
func TestMeter_howLongAShortLasts(t *testing.T) {
	for steps, want := range map[int][2]int{10: {0, 0}, 11: {1, 0}, 100: {1, 0}, 101: {1, 1}} {
		m := told()
		m.stubs.limit = 10_000_000
		m.Step(8, 100, tenth)
		m.steps(steps-1, 8, 100)
		m.Step(20, 100, tenth)
		require.Equal(t, want, [2]int{m.window.transfers, m.window.stubs}, steps)
		require.Equal(t, sums{1, float64(steps) * tenth, math.Pow(float64(steps)*tenth, 2)}, m.window.lasted)
	}
}

// Arcs are counted that were seen from end to end, and cycles from the beginning of a
// transfer to that of the next, whatever touches lie between them: up to a quarter of a second.
func TestMeter_arcsAndCycles(t *testing.T) {
	m := told()
	m.Step(8, 100, tenth)
	require.Zero(t, m.window.arcs.n, "nobody saw it begin")
	m.short(20, 30) // a transfer of 2 ms and 3 ms of arc
	require.Zero(t, m.window.cycles.n, "it takes two transfers")
	m.short(5, 25) // a touch
	require.Equal(t, sums{1, 30 * tenth, 900 * tenth * tenth}, m.window.arcs)
	require.Zero(t, m.window.cycles.n)
	m.short(15, 10)
	require.Equal(t, sums{1, 80 * tenth, 6400 * tenth * tenth}, m.window.cycles, "2 + 3 ms and 0.5 + 2.5 ms, from end to end of the short")
	m.short(11, 10)
	require.Equal(t, 2.0, m.window.cycles.n)
	require.Equal(t, (80+25)*float64(tenth), m.window.cycles.sum)
}

func TestMeter_longestArcAndCycle(t *testing.T) {
	for arc, want := range map[int]float64{2500: 1, 2501: 0} {
		m := told()
		m.Step(8, 100, tenth)
		m.short(20, arc)
		m.short(5, 1)
		require.Equal(t, want, m.window.arcs.n, arc)
	}
	for arc, want := range map[int]float64{2480: 1, 2481: 0} {
		m := told()
		m.Step(8, 100, tenth)
		m.short(20, arc)
		m.short(20, 1)
		require.Equal(t, want, m.window.cycles.n, arc)
	}
}

// The current climbs from 130 A by 20 A in each of four steps, and stays there for as long
// again: a peak of 210 A, 0.4 ms after the touch, is 200 A/ms. Where it does not climb there is
// no rate of it.
func TestMeter_peak(t *testing.T) {
	m := told()
	for k := range 9 {
		m.Step(8, 130+20*float64(min(k, 4)), tenth)
	}
	m.steps(3, 8, 150)
	m.Step(20, 100, tenth)
	require.Equal(t, sums{1, 210, 210 * 210}, m.window.peaks)
	require.InDelta(t, 200e3, m.window.rises.mean(), 1e-6)
	m = told()
	m.steps(12, 8, 150)
	m.Step(20, 100, tenth)
	require.Equal(t, 1, m.window.transfers)
	require.Equal(t, 150.0, m.window.peaks.mean())
	require.Zero(t, m.window.rises.n)
}

// The re-ignition is the highest voltage from the end of a transfer to 0.3 ms after it, or
// to the next touch.
func TestMeter_reignition(t *testing.T) {
	for name, c := range map[string]struct {
		after []float64
		want  float64
	}{
		"within":    {[]float64{20, 21, 22, 35, 20}, 35},
		"too late":  {[]float64{20, 21, 22, 23, 35}, 23},
		"at once":   {[]float64{30, 21, 22, 23, 35}, 30},
		"touched":   {[]float64{20, 24, 8, 35, 35}, 24},
		"not ended": {[]float64{20, 24}, 0},
	} {
		m := told()
		m.steps(12, 8, 100)
		for _, v := range c.after {
			m.Step(v, 100, tenth)
		}
		require.Equal(t, c.want, m.window.sparks.sum, name)
	}
	m := told()
	m.steps(5, 8, 100) // a touch
	m.steps(9, 30, 100)
	require.Zero(t, m.window.sparks.n)
}

// The current is a mean over the time, and its rms that of the squares: 100 A for 1 ms and
// 400 A for 3 ms are 325 A, and sqrt(122500) = 350 A.
func TestMeter_current(t *testing.T) {
	m := told()
	m.window = aggregate{}
	m.Step(20, 100, 400_000)
	m.Step(20, 100, 600-0)
	m.Step(20, 100, 400_000)
	m.Step(20, 100, 199_400)
	for range 6 {
		m.Step(20, 400, 500_000)
	}
	s := m.statistics(&m.window, Dip)
	require.InDelta(t, 325, float64(s.Current), 1e-9)
	require.InDelta(t, 350, float64(s.RMS), 1e-9)
	require.InDelta(t, 4e-3, float64(s.Known), 1e-12)
	require.InDelta(t, 0.4e-3, float64(s.Step), 1e-12)
}

// A sample half a millisecond after the one before still follows it; later, it does not.
func TestMeter_slowest(t *testing.T) {
	m := told()
	m.Step(20, 100, slowest)
	require.Equal(t, burning, m.phase)
	m.Step(20, 100, slowest+1)
	require.Equal(t, unknown, m.phase)
	require.EqualValues(t, 2, m.window.samples, "and does not count")
}

// Levels are looked for after a tenth of a second, within the very window.
func TestMeter_firstLook(t *testing.T) {
	m := NewMeter()
	feed := func(n int) {
		for k := range n {
			m.Step(8+12*float64(k%2), 100, tenth)
		}
	}
	feed(999)
	require.False(t, m.levels.known)
	feed(1)
	require.True(t, m.levels.known, "after a thousand steps")
	require.Equal(t, unknown, m.phase, "8 V is no arc")
	m.Step(20, 100, tenth)
	require.Equal(t, burning, m.phase)
}
