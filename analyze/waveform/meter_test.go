package waveform

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// dip is a constructed arc: 3 ms at the lower level while the current climbs from
// 130 to 300 A, 9 ms at the upper one, sampled every step ns.
type dip struct {
	low, high float64
	shorted   int64 // ns of a cycle of 12 ms
	step      int64
}

const cycleTime = 12_000_000

func (d dip) feed(m *Meter, from, to int64) {
	for tick := from; tick < to; tick += d.step {
		at := tick % cycleTime
		v, i := d.high, 130.0
		if at < d.shorted {
			v, i = d.low, 130+170*float64(at)/float64(d.shorted)
		}
		m.Step(v, i, d.step)
	}
}

func TestMeter_constructedCycle(t *testing.T) {
	for _, c := range []dip{
		{low: 2, high: 20, shorted: 3_000_000, step: 100_000},
		{low: 8.6, high: 21.1, shorted: 3_000_000, step: 20_000},
		{low: 12, high: 17, shorted: 3_000_000, step: 50_000},
	} {
		m := NewMeter()
		c.feed(m, 0, 12_000_000_000)
		s := m.EndPass()
		require.NotNil(t, s, c)
		require.InDelta(t, c.low, float64(s.ShortLevel), 0.13, "to half a bin")
		require.InDelta(t, c.high, float64(s.ArcLevel), 0.13)
		require.InDelta(t, 1000.0/12, float64(s.Transfer), 0.1)
		require.Equal(t, s.Transfers, *s.Shorts)
		require.InDelta(t, 0.25, float64(s.ShortShare), 1e-3)
		require.InDelta(t, 3e-3, float64(*s.ShortTime), 1e-9)
		require.InDelta(t, 0, float64(*s.ShortSpread), 1e-9)
		require.InDelta(t, 9e-3, float64(*s.ArcTime), 1e-9)
		require.InDelta(t, 0, float64(*s.Instability), 1e-6)
		require.InDelta(t, 300, float64(*s.PeakCurrent), 170*float64(c.step)/3e6+1e-9)
		require.InDelta(t, 170/3e-3, *s.RiseRate, 170/3e-3*0.001)
		require.InDelta(t, c.high, float64(*s.Reignition), 1e-9)
		require.InDelta(t, c.high, float64(s.Voltage95), 0.25)
		require.Zero(t, s.Stubs)
	}
}

// The limit of a stub follows the arc's own shorts: of 3 ms it is 10 ms, and 12 ms are
// one; where they scatter up to 14 ms, those are none; 31 ms are one in any arc.
func TestMeter_stubs(t *testing.T) {
	m := NewMeter()
	dip{low: 8, high: 20, shorted: 3_000_000, step: 100_000}.feed(m, 0, 1_200_000_000)
	require.Zero(t, m.Take().Stubs)
	cycles(m, 20, 2, 12)
	s := m.Take()
	require.Equal(t, 10e-3, float64(s.StubLimit))
	require.Equal(t, 20, s.Stubs)

	m = NewMeter()
	dip{low: 8, high: 20, shorted: 3_000_000, step: 100_000}.feed(m, 0, 200_000_000)
	for range 3 {
		cycles(m, 12, 3, 4, 6, 8, 12, 14)
		s = m.Take()
	}
	require.Zero(t, s.Stubs)
	require.Greater(t, float64(s.StubLimit), 20e-3)
	cycles(m, 4, 31)
	require.Equal(t, 4, m.EndPass().Stubs)
}

// A tip that begins to stub does not make that its habit.
func TestMeter_stubsAreNoHabit(t *testing.T) {
	m := NewMeter()
	dip{low: 8, high: 20, shorted: 3_000_000, step: 100_000}.feed(m, 0, 6_000_000_000)
	m.Take()
	for range 60 {
		cycles(m, 25, 3, 15)
		require.Equal(t, 25, m.Take().Stubs)
	}
}

// cycles feeds n times shorts of so many ms, each with 8 ms of arc.
func cycles(m *Meter, n int, ms ...int) {
	for range n {
		for _, short := range ms {
			for k := range 10 * short {
				m.Step(8, 130+float64(k), 100_000)
			}
			for range 80 {
				m.Step(20, 130, 100_000)
			}
		}
	}
}

func TestMeter_oneLevelHasNoShorts(t *testing.T) {
	m := NewMeter()
	for k := range 200_000 { // a spray arc: 26 V, with ripple and some noise
		v := 26 + 2*math.Sin(float64(k)*0.37) + 1.5*math.Sin(float64(k)*1.91)
		m.Step(v, 250, 100_000)
	}
	s := m.EndPass()
	require.Equal(t, Spray, s.Mode)
	require.False(t, s.ShortsTold)
	require.Less(t, float64(*s.Unrest), 0.01)
	require.InDelta(t, 20, float64(s.Known), 1e-9)
}

// Levels once known stay: an arc that no longer shorts has a rate of 0.
func TestMeter_shortsThatStop(t *testing.T) {
	m := NewMeter()
	dip{low: 8, high: 20, shorted: 3_000_000, step: 100_000}.feed(m, 0, 6_000_000_000)
	require.NotNil(t, m.EndPass())
	dip{low: 8, high: 21, step: 100_000}.feed(m, 0, 2_000_000_000)
	s := m.EndPass()
	require.NotNil(t, s)
	require.Zero(t, s.Transfers)
	require.Nil(t, s.ShortTime)
	require.Nil(t, s.Instability)
	dip{low: 8, high: 20, shorted: 3_000_000, step: 100_000}.feed(m, 0, 1_000_000_000)
	s = m.EndPass()
	require.InDelta(t, 0, float64(*s.Instability), 1e-6, "two seconds without a short are no cycle")
	require.InDelta(t, 9e-3, float64(*s.ArcTime), 1e-9)
}

func TestMeter_rateSaysWhatIsTold(t *testing.T) {
	for _, c := range []struct {
		step      int64
		any, fine bool
	}{{20_000, true, true}, {100_000, true, true}, {200_000, true, false}, {500_000, true, false}, {600_000, false, false}} {
		m := NewMeter()
		dip{low: 8, high: 20, shorted: 3_000_000, step: c.step}.feed(m, 0, 6_000_000_000)
		s := m.EndPass()
		require.Equal(t, c.any, s != nil, c)
		if s != nil {
			require.Equal(t, c.fine, s.ShortRate != nil, c)
			require.InDelta(t, 1000.0/12, float64(s.Transfer), 0.5, c)
		}
	}
}

func TestMeter_breaksAreNotBridged(t *testing.T) {
	m := NewMeter()
	d := dip{low: 8, high: 20, shorted: 3_000_000, step: 100_000}
	d.feed(m, 0, 6_000_000_000)
	m.EndPass()
	d.feed(m, 0, 1_000_000) // a short, of which nobody sees the end
	m.Break()
	d.feed(m, 5_000_000, 12_000_000)
	require.Zero(t, m.window.transfers)
	require.Zero(t, m.window.lasted.n)
	require.Zero(t, m.window.arcs.n, "nobody knows whether it ended in a short")
}

// A pass that turns out to have ended at a mark has what was summed up to there,
// and the next one the rest.
func TestMeter_mark(t *testing.T) {
	d := dip{low: 8, high: 20, shorted: 3_000_000, step: 100_000}
	m := NewMeter()
	d.feed(m, 0, 3_000_000_000)
	m.Take()
	d.feed(m, 3_000_000_000, 3_300_000_000)
	mark := m.Mark()
	d.feed(m, 3_300_000_000, 6_000_000_000)
	first, second := m.EndPassAt(mark), m.EndPass()

	whole := NewMeter()
	d.feed(whole, 0, 6_000_000_000)
	both := whole.EndPass()
	require.InDelta(t, float64(both.Known), float64(first.Known+second.Known), 1e-9)
	require.Equal(t, both.Transfers, first.Transfers+second.Transfers)
	require.InDelta(t, 3.3, float64(first.Known), 0.15)
}

// Taking looks in between changes the levels' history, but not the sums.
func TestMeter_looksAddUp(t *testing.T) {
	d := dip{low: 8.6, high: 21.1, shorted: 3_000_000, step: 100_000}
	m := NewMeter()
	sum := 0
	for k := range int64(20) {
		d.feed(m, k*480_000_000, (k+1)*480_000_000)
		s := m.Take()
		require.NotNil(t, s)
		sum += s.Transfers
	}
	require.Equal(t, sum, m.EndPass().Transfers)
}
