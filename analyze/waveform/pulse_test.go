package waveform

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// A current that climbs and falls slowly, with noise, crosses its mean many times, and pulses
// once a cycle.
func TestPulse_edgesApart(t *testing.T) {
	m := NewMeter()
	rng := rand.New(rand.NewPCG(8, 8))
	for k := range 40_000 {
		wave := math.Sin(2 * math.Pi * 50 * float64(k) / 10_000)
		m.Step(26+6*wave, 250+150*wave+8*rng.NormFloat64(), 100_000)
	}
	s := m.EndPass()
	require.Equal(t, Pulsed, s.Mode)
	require.InDelta(t, 50, float64(*s.PulseRate), 0.2)
}

// A pulse after a pause of more than a quarter of a second begins no cycle with the one before it.
func TestPulse_longestCycle(t *testing.T) {
	for steps, want := range map[int]float64{2499: 1, 2500: 0} {
		m := NewMeter()
		m.edges = edges{known: true, begin: 210, end: 190}
		m.Step(20, 100, tenth)
		m.Step(30, 300, tenth)
		m.steps(steps, 20, 100)
		m.Step(30, 300, tenth)
		require.Equal(t, want, m.window.pulses.beats.n, steps)
	}
}

// By hand: two cycles make no rate; three of 8, 10 and 12 ms are 100 Hz. Pulses of 30, 32 and
// 34 V are 2 V apart, of 32.
func TestPulses_tell(t *testing.T) {
	var s Statistics
	p := pulses{time: 30e6, high: 6e6, inPulse: total{60, 1920}, beside: total{240, 4800}, peaks: sums{3, 1200, 0}, bases: sums{3, 240, 0}, beats: sums{2, 20e6, 0}}
	p.plateaus = sums{3, 96, 30*30 + 32*32 + 34*34}
	p.tell(&s)
	require.InDelta(t, 0.03, float64(s.Known), 1e-12)
	require.Nil(t, s.PulseRate)
	p.beats = sums{3, 30e6, 0}
	p.tell(&s)
	require.InDelta(t, 100, float64(*s.PulseRate), 1e-9)
	require.InDelta(t, 0.2, float64(*s.PulseShare), 1e-12)
	require.EqualValues(t, 400, *s.Peak)
	require.EqualValues(t, 80, *s.Background)
	require.EqualValues(t, 32, *s.PeakVoltage)
	require.EqualValues(t, 20, *s.BackgroundVoltage)
	require.InDelta(t, 2.0/32, float64(*s.Unrest), 1e-12)
}

// A mode must have burned for longer than what was not told; of two as long, the first by their order.
func TestAggregate_mode(t *testing.T) {
	mode := func(untold int64, modes ...int64) Mode {
		a := aggregate{untold: untold}
		copy(a.modes[:], modes)
		return a.mode(new(levels))
	}
	require.Equal(t, Dip, mode(4, 5))
	require.Equal(t, Mode(""), mode(5, 5))
	require.Equal(t, Dip, mode(0, 5, 5))
	require.Equal(t, Pulsed, mode(1, 2, 3, 3, 4))
	var a aggregate
	a.time = 7
	a.settle("")
	a.settle(Spray)
	require.EqualValues(t, 7, a.untold)
	require.EqualValues(t, 7, a.modes[1])
}
