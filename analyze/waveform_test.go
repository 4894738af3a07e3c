package analyze

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
)

// unsteady is a dipping arc at 10 kHz whose cycles differ, and that burns for
// some seconds as without its gas: it is hot, and shorts more often.
func unsteady(tick int64) (v, i float64) {
	t := float64(tick) * 1e-9
	rate, hot := 80.0, 0.0
	if t > 60 && t < 64 {
		rate, hot = 120, 3
	}
	phase := math.Mod(rate*t+0.2*math.Sin(23*t), 1)
	if phase < 0.2 {
		return 8 + math.Sin(977*t), 130 + 600*phase
	}
	return 20 + hot + math.Sin(1311*t), 140
}

// TestRun_waveformDivisionDoesNotMatter judges one arc in several divisions into
// blocks: statistics and findings of the waveform are the same to the last bit.
func TestRun_waveformDivisionDoesNotMatter(t *testing.T) {
	judge := func(size func() int) Result {
		r := New(boreJob(bore.Helix), nil)
		require.NoError(t, r.Source(source(0)))
		const step, until = ms / 10, 70_000 * ms
		for tick := int64(0); tick < until; {
			b := series.Block{Kind: series.Arc, Tick: tick, Step: step}
			for n := size(); n > 0 && tick < until; n-- {
				v, i := unsteady(tick)
				b.V, b.I = append(b.V, int32(math.Round(v*100))), append(b.I, int32(math.Round(i*10)))
				tick += step
			}
			require.NoError(t, r.Block(&b))
		}
		return r.Finish()
	}
	whole := judge(func() int { return 5_000 })
	require.Len(t, whole.Passes, 1)
	require.NotNil(t, whole.Passes[0].Waveform)
	require.InDelta(t, 82, float64(whole.Passes[0].Waveform.Transfer), 1)
	gas := 0
	for _, f := range whole.Findings {
		if f.Rule == finding.GasSignature {
			gas++
			require.InDelta(t, 60, float64(f.Start.Tick)*1e-9, 0.6)
			require.InDelta(t, 4, float64(f.Duration), 0.6)
		}
	}
	require.Equal(t, 1, gas)
	rng := rand.New(rand.NewPCG(7, 8))
	for _, size := range []func() int{func() int { return 333 }, func() int { return 1 + rng.IntN(3_000) }} {
		require.Equal(t, whole, judge(size))
	}
}
