package analyze

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/arcsim"
	"arctally/analyze/finding"
)

// What comes alone is told live within two seconds, of an arc of any mode that is lost while
// voltage and wire go on, and of a lead of the voltage that comes off.
func TestRun_whatComesAloneIsToldWithinTwoSeconds(t *testing.T) {
	for fault, rule := range map[arcsim.Fault]finding.Rule{arcsim.Lost: finding.VoltageOnly, arcsim.NoVolts: finding.CurrentOnly} {
		for k, mode := range allModes {
			tr := trial{mode: mode, seed: uint64(k), rate: 10_000, passes: 1, fault: fault, from: 10, to: 14}
			began, told := int64(pause*1e9)+10_000*ms, int64(0)
			tr.lay(t, func(r *Run, tick int64) {
				for _, d := range r.Now().Deviations {
					require.False(t, d.Rule == rule && tick < began, "nothing is wrong yet")
					if d.Rule == rule && told == 0 {
						require.True(t, d.Certain)
						told = tick
					}
				}
			})
			require.NotZero(t, told, "%s, %s", mode, fault)
			require.LessOrEqual(t, float64(told-began)*1e-9, 2.0, "%s, %s", mode, fault)
		}
	}
}

// Wire that is jogged by hand between passes is said to feed, and is neither a finding nor a
// warning; nor is voltage while the wire runs in.
func TestRun_joggedWireIsNoFinding(t *testing.T) {
	tr := trial{mode: arcsim.Dip, seed: 1, rate: 5_000, passes: 2}
	said := 0
	res := tr.lay(t, func(r *Run, _ int64) {
		now := r.Now()
		require.True(t, now.ArcOn || len(now.Deviations) == 0)
		if now.Seen != "" {
			require.Contains(t, now.Seen, "the wire feeds and nothing burns")
			said++
		}
	})
	require.InDelta(t, 20, said, 4, "a second of each time")
	require.Empty(t, res.Findings)
	for _, w := range res.Warnings {
		require.NotEqual(t, "silent", w.Kind)
	}
}

// An arc whose voltage, or current, nobody measures makes no pass, and that is a warning.
func TestRun_arcOfWhichOneChannelIsMissing(t *testing.T) {
	for fault, want := range map[arcsim.Fault]string{arcsim.NoVolts: "the voltage was not measured", arcsim.Lost: "the current was not measured"} {
		tr := trial{mode: arcsim.Dip, seed: 3, rate: 5_000, passes: 1, fault: fault, to: passTime}
		res := tr.lay(t, nil)
		require.Empty(t, res.Passes)
		require.Len(t, res.Warnings, 1)
		require.Equal(t, "silent", res.Warnings[0].Kind)
		require.Contains(t, res.Warnings[0].Text, want)
		require.InDelta(t, pause, float64(res.Warnings[0].Start.Tick)*1e-9, 1)
	}
}

// Any division of the samples into blocks gives the same bits, of an arc of any mode, and of one
// that goes out while wire and voltage go on.
func TestRun_divisionOfAnyArc(t *testing.T) {
	dice := rand.New(rand.NewPCG(9, 9))
	for k, mode := range allModes {
		tr := trial{mode: mode, seed: uint64(20 + k), rate: 5_000, passes: 1, swing: 0.08, fault: arcsim.Lost, from: 30, to: 33}
		whole := tr.lay(t, nil)
		require.NotEmpty(t, whole.Findings)
		require.NotNil(t, whole.Passes[0].Waveform)
		for range 2 {
			tr.divide = func(b *series.Block) (parts []*series.Block) {
				for from := 0; from < len(b.V); {
					to := min(len(b.V), from+1+dice.IntN(300))
					part := *b
					part.Tick, part.V, part.I = b.At(from), b.V[from:to], b.I[from:to]
					parts, from = append(parts, &part), to
				}
				return parts
			}
			require.Equal(t, whole, tr.lay(t, nil), mode)
		}
	}
}
