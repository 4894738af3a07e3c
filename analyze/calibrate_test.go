package analyze

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
)

// gained is a calibration of a channel by its gain alone.
func gained(channel string, gain, relative float64) calib.Calibration {
	return calib.Calibration{Channel: channel, Gain: gain, Relative: relative}
}

// twoEpochs has a coupon laid twice, 2 s each at 20 V and 150 A, the second
// time after a restart of the recording.
func twoEpochs(t *testing.T, r *Run) Result {
	t.Helper()
	require.NoError(t, r.Source(source(0)))
	for epoch := range 2 {
		b := steady(0, ms, 2001)
		b.Epoch = epoch
		require.NoError(t, r.Block(&b))
	}
	return r.Finish()
}

// A check between two passes: the first one keeps its line and its doubt, the
// second has those of the check.
func TestRun_calibrationHoldsFromItsPlaceOn(t *testing.T) {
	plain := twoEpochs(t, New(coupon(), nil))
	r := New(coupon(), nil)
	r.Calibrate(gained("voltage", 1.1, 0.001), 0, 2001*ms)
	res := twoEpochs(t, r)
	require.Len(t, res.Passes, 2)
	require.Equal(t, plain.Passes[0], res.Passes[0], "nothing before the check is rewritten")
	first, second := res.Passes[0], res.Passes[1]
	require.InDelta(t, 1.1*float64(first.Energy), float64(second.Energy), 1e-6)
	require.InDelta(t, 1.1*float64(*first.VoltageMean), float64(*second.VoltageMean), 1e-9)
	require.InDelta(t, float64(*first.CurrentMean), float64(*second.CurrentMean), 1e-12)
	relative := func(k int) float64 {
		return float64(*res.Passes[k].ExpandedUncertainty) / float64(*res.Passes[k].HeatInput)
	}
	require.Less(t, relative(1), relative(0), "0.1 % in place of a field instrument's 2 %")
	find := func(k int) heat.Component {
		for _, c := range res.Passes[k].Budget {
			if c.Name == heat.Voltage {
				return c
			}
		}
		return heat.Component{}
	}
	require.Equal(t, heat.StandIn, find(0).Basis)
	require.Equal(t, 0.001, find(1).Uncertainty)
	missing := kind(res, "no-calibration")
	require.Contains(t, missing[0].Text, "no calibration of voltage was on record when 1 of 2 passes were laid")
	require.Contains(t, missing[1].Text, "no calibration of current is on record")
}

// Where a calibration begins within a block, the samples on either side have
// their own line, however the samples are divided.
func TestRun_calibrationWithinABlock(t *testing.T) {
	run := func(parts ...int) Result {
		r := New(coupon(), nil)
		r.Calibrate(gained("voltage", 2, 0), 0, 1000*ms)
		r.Calibrate(gained("current", 3, 0), 0, 1500*ms)
		r.Calibrate(gained("wire_speed", 5, 0), 0, 500*ms)
		require.NoError(t, r.Source(source(0)))
		slow := series.Block{Kind: series.Slow}
		for k := range int64(20) {
			slow.Ticks, slow.Channel, slow.Value = append(slow.Ticks, k*100*ms), append(slow.Channel, 2), append(slow.Value, 0.1)
		}
		require.NoError(t, r.Block(&slow))
		at := int64(0)
		for _, n := range parts {
			b := steady(at*ms, ms, n)
			require.NoError(t, r.Block(&b))
			at += int64(n)
		}
		return r.Finish()
	}
	whole := run(2001)
	// 20 V * 150 A = 3000 W for 0.999 s; one step from 3000 to 6000 W; 6000 W for
	// 0.499 s; one step from 6000 to 18000 W; 18000 W for 0.5 s.
	require.InDelta(t, 3000*0.999+4.5+6000*0.499+12+18000*0.5, float64(whole.Passes[0].Energy), 1e-6)
	// Five readings of 0.1 m/s over half a second, then those of 0.5 m/s: the
	// trapezoid over 0.4 s, a step, and what is left.
	require.InDelta(t, 0.04+0.03+0.75, float64(*whole.Passes[0].Wire), 0.05)
	require.Equal(t, whole, run(1, 999, 1, 500, 500))
	require.Equal(t, whole, run(700, 700, 601))
}

// The order of the calls does not matter, only that of the places; and a line
// for sums is taken at the beginning of the window.
func TestRun_calibrationsInAnyOrder(t *testing.T) {
	calls := []calib.Timed{
		{Calibration: gained("voltage", 1.5, 0.01), Epoch: 1, Tick: 0},
		{Calibration: gained("current", 1.2, 0.02), Epoch: 0, Tick: 0},
		{Calibration: gained("voltage", 1.1, 0.03), Epoch: 0, Tick: 0},
	}
	run := func(order ...int) Result {
		r := New(coupon(), nil)
		for _, k := range order {
			r.Calibrate(calls[k].Calibration, calls[k].Epoch, calls[k].Tick)
		}
		return twoEpochs(t, r)
	}
	want := run(2, 1, 0)
	require.InDelta(t, 20*1.1, float64(*want.Passes[0].VoltageMean), 1e-9)
	require.InDelta(t, 20*1.5, float64(*want.Passes[1].VoltageMean), 1e-9)
	require.InDelta(t, 150*1.2, float64(*want.Passes[1].CurrentMean), 1e-9)
	require.Equal(t, want, run(0, 2, 1))
	require.Equal(t, want, run(0, 1, 2))

	r := New(coupon(), nil)
	r.Calibrate(gained("current", 1.2, 0.02), 0, 0)
	require.NoError(t, r.Source(source(0)))
	b := steady(0, ms, 2001)
	require.NoError(t, r.Block(&b))
	r.Calibrate(calls[0].Calibration, 1, 0) // while the analysis is under way
	for k := range int64(2) {
		w := series.Block{Kind: series.Sums, Epoch: 1, Tick: k * 1000 * ms, Step: ms}
		w.Sum = series.WindowSums{Count: 1000, ArcOn: 1000, V: 2000 * 1000, I: 1500 * 1000, VI: 2000 * 1500 * 1000}
		require.NoError(t, r.Block(&w))
	}
	res := r.Finish()
	require.InDelta(t, 20, float64(*res.Passes[0].VoltageMean), 1e-9)
	require.InDelta(t, 20*1.5*150*1.2, float64(*res.Passes[1].PowerMean), 1e-6)
}

func TestRun_calibrationsOfSlowChannels(t *testing.T) {
	job := coupon()
	job.Deposit.Pattern = bore.Straight
	r := New(job, nil)
	r.Calibrate(gained("wire_speed", 2, 0), 1, 0)
	require.NoError(t, r.Source(source(0)))
	for epoch := range 2 {
		slow := series.Block{Kind: series.Slow, Epoch: epoch, Ticks: []int64{0, 1000 * ms, 2000 * ms}, Channel: []uint8{2, 2, 2}, Value: []float64{0.1, 0.1, 0.1}}
		require.NoError(t, r.Block(&slow))
		b := steady(0, ms, 2001)
		b.Epoch = epoch
		require.NoError(t, r.Block(&b))
	}
	res := r.Finish()
	require.InDelta(t, 0.2, float64(*res.Passes[0].Wire), 1e-9)
	require.InDelta(t, 0.4, float64(*res.Passes[1].Wire), 0.06, "the first mean is still with the speed before")
}
