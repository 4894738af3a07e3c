package waveform

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

// Of 2, 4, 4, 4, 5, 5, 7 and 9 the mean is 5, and the squares about it sum up to 32.
func TestSums(t *testing.T) {
	var s, first sums
	for k, x := range []float64{2, 4, 4, 4, 5, 5, 7, 9} {
		s.add(x)
		if k < 3 {
			first.add(x)
		}
	}
	require.Equal(t, 5.0, s.mean())
	require.InDelta(t, math.Sqrt(32.0/7), s.spread(), 1e-15)
	s.join(first, -1)
	require.Equal(t, sums{5, 30, 196}, s)
	require.Zero(t, sums{2, 2, 1.9999}.spread(), "what is below zero by rounding")
}

// What is taken off is as if it had never been.
func TestAggregate_add(t *testing.T) {
	a := aggregate{
		samples: 9, time: 8, known: 7, short: 6, area: 11, power: 12, charge: 5, square: 4, transfers: 3, stubs: 2, untold: 13, gains: total{3, 7}, slow: total{9, 8},
		lasted: sums{1, 2, 3}, arcs: sums{4, 5, 6}, cycles: sums{7, 8, 9}, peaks: sums{2, 4, 6}, rises: sums{3, 6, 9}, sparks: sums{5, 7, 9},
	}
	a.volts[17], a.lengths[3], a.modes[2] = 21, 5, 6
	a.pulses = pulses{time: 4, high: 3, inPulse: total{2, 1}, beside: total{5, 6}, peaks: sums{1, 2, 3}, bases: sums{2, 3, 4}, beats: sums{3, 4, 5}, plateaus: sums{4, 5, 6}}
	twice := a
	twice.add(&a, +1)
	require.Equal(t, sums{14, 16, 18}, twice.cycles)
	require.EqualValues(t, 42, twice.volts[17])
	require.Equal(t, 10.0, twice.charge)
	require.Equal(t, 8.0, twice.square)
	require.Equal(t, 22.0, twice.area)
	require.Equal(t, 24.0, twice.power)
	require.Equal(t, total{18, 16}, twice.slow)
	require.Equal(t, total{6, 14}, twice.gains)
	require.EqualValues(t, 10, twice.lengths[3])
	require.EqualValues(t, 12, twice.modes[2])
	require.EqualValues(t, 26, twice.untold)
	require.Equal(t, pulses{time: 8, high: 6, inPulse: total{4, 2}, beside: total{10, 12}, peaks: sums{2, 4, 6}, bases: sums{4, 6, 8}, beats: sums{6, 8, 10}, plateaus: sums{8, 10, 12}}, twice.pulses)
	twice.add(&a, -1)
	require.Equal(t, a, twice)
}

// Half of the time must be known.
func TestAggregate_halfKnown(t *testing.T) {
	l := &levels{known: true, low: 8, high: 20}
	told := func(a aggregate, l *levels) bool { return a.statistics(l, Dip, 0).ShortsTold }
	require.False(t, told(aggregate{time: 10, known: 4, samples: 1}, l))
	require.True(t, told(aggregate{time: 10, known: 5, samples: 1}, l))
	require.False(t, told(aggregate{samples: 1}, l), "nothing is known")
	require.False(t, told(aggregate{time: 10, known: 10, samples: 1}, &levels{}))
	require.Nil(t, (&aggregate{time: 10, known: 10, samples: 1}).statistics(l, "", 0), "nothing is named a short before the mode is told")
}

// What it comes to, by hand: 0.5 s known of 0.6, 40 transfers and 50 shorts in 0.1 s of short.
func TestAggregate_statistics(t *testing.T) {
	a := &aggregate{time: 600e6, known: 500e6, short: 100e6, samples: 6000, charge: 84e9, square: 12.15e12, transfers: 40, stubs: 3}
	a.lasted = sums{50, 100e6, 250e12}
	a.cycles = sums{2, 24e6, 290e12} // 11 and 13 ms: spread sqrt(2) ms
	a.rises = sums{4, 400e3, 0}
	s := a.statistics(&levels{known: true, low: 8, high: 20}, Dip, 12e6)
	require.Equal(t, quantity.Hertz(80), s.Transfer)
	require.Equal(t, 40, s.Transfers)
	require.Equal(t, 3, s.Stubs)
	require.InDelta(t, 12e-3, float64(s.StubLimit), 1e-12)
	require.Nil(t, s.Unrest)
	require.Nil(t, s.PulseRate)
	require.Equal(t, quantity.Ratio(0.2), s.ShortShare)
	require.Equal(t, quantity.Amperes(140), s.Current)
	require.InDelta(t, math.Sqrt(20250), float64(s.RMS), 1e-9)
	require.Equal(t, 50, *s.Shorts)
	require.Equal(t, quantity.Hertz(100), *s.ShortRate)
	require.InDelta(t, 2e-3, float64(*s.ShortTime), 1e-15)
	require.InDelta(t, math.Sqrt(50e12/49)*1e-9, float64(*s.ShortSpread), 1e-12)
	require.InDelta(t, math.Sqrt2/12, float64(*s.Instability), 1e-12)
	require.Equal(t, 100e3, *s.RiseRate)
	require.Nil(t, s.ArcTime)
	require.Nil(t, s.Reignition)
}

// One value has no spread, and none has no mean.
func TestAggregate_fewValues(t *testing.T) {
	a := &aggregate{time: 600e6, known: 600e6, samples: 6000, cycles: sums{1, 12e6, 144e12}, arcs: sums{1, 9e6, 81e12}}
	s := a.statistics(&levels{known: true}, Dip, 0)
	require.Nil(t, s.Instability)
	require.InDelta(t, 9e-3, float64(*s.ArcTime), 1e-15)
	require.Nil(t, s.ArcSpread)
	require.Nil(t, s.RiseRate)
	require.Nil(t, s.PeakCurrent)
	a.arcs = sums{2, 18e6, 162e12}
	require.NotNil(t, a.statistics(&levels{known: true}, Dip, 0).ArcSpread)
	a.cycles = sums{2, 24e6, 288e12}
	require.NotNil(t, a.statistics(&levels{known: true}, Dip, 0).Instability)
}

// Fast enough for every short is a step of a tenth of a millisecond, and a percent more.
func TestAggregate_fine(t *testing.T) {
	for time, want := range map[int64]bool{101_000: true, 101_001: false} {
		a := &aggregate{time: time, known: time, samples: 1}
		require.Equal(t, want, a.statistics(&levels{known: true}, Dip, 0).Shorts != nil, time)
	}
}

// Of ten samples in bin 40 and ten in bin 80, half lie below the end of bin 40, a quarter
// below its middle, 95 % below nine tenths of bin 80.
func TestAggregate_quantile(t *testing.T) {
	a := &aggregate{samples: 20}
	a.volts[40], a.volts[80] = 10, 10
	for share, bin := range map[float64]float64{0.25: 40.5, 0.5: 41, 0.75: 80.5, 0.95: 80.9, 1: 81} {
		require.InDelta(t, bin/binsPerVolt, a.quantile(share), 1e-12, share)
	}
	require.Equal(t, 10.0, a.quantile(0), "an empty bin is below no share")
	require.Zero(t, new(aggregate).quantile(0.95))
}
