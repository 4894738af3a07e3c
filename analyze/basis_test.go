package analyze

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/rotation"
)

// slowly turns 4 % slower than is declared.
func slowly(tick int64) float64 { return 1.20 / 60 * float64(tick) * 1e-9 }

// lostAt is where in the sixth turn the arc is lost for 5 degrees.
const lostAt = 5*360 + 250.0

func slowArc() arcSignal {
	return arcSignal{step: ms, off: func(tick int64) bool {
		a := slowly(tick) * 360
		in := math.Mod(a, 360)
		return in >= 80 && in < 116 || a >= lostAt && a < lostAt+5 || a >= 8*360
	}}
}

func withoutCounts(t *testing.T, size func() int) Result {
	job := boreJob(bore.Helix)
	job.Bore.Length = 0.024
	r := New(job, nil)
	require.NoError(t, r.Source(source(0)))
	feed(t, r, slowArc(), 410_000*ms, size)
	return r.Finish()
}

func TestRun_rotationFromTheGaps(t *testing.T) {
	res := withoutCounts(t, always(1000))
	require.Len(t, res.Passes, 1)
	p := res.Passes[0]
	require.Equal(t, heat.TravelDerived, p.TravelBasis)
	require.Equal(t, rotation.FromGaps, p.Rotation.From)
	require.InDelta(t, 1.20/60, float64(p.Rotation.Speed), 1e-5)
	require.InDelta(t, 8, *p.Turns, 0.005)
	require.InDelta(t, 8*0.9*289.04e-3-5.0/360*289.04e-3, float64(*p.Travel), 2e-3)
	require.InDelta(t, 0.024, float64(p.EndPlace.Depth), 2e-5)
	require.NotEmpty(t, kind(res, "rotation"))
	require.NotEmpty(t, kind(res, "derived-travel"))
	require.Empty(t, kind(res, "no-rhythm"))
	var lost []finding.Finding
	for _, f := range res.Findings {
		if f.Rule == finding.ArcOut {
			lost = append(lost, f)
		}
	}
	require.Len(t, lost, 1)
	require.InDelta(t, 250, float64(lost[0].Place.Angle), 1)
	require.InDelta(t, 3e-3*lostAt/360, float64(lost[0].Place.Depth), 2e-5)
	require.Contains(t, lost[0].Sentence, "from 250 deg")
}

// A derived rotation is the same to the bit for any division into blocks.
func TestRun_rotationFromTheGapsInAnyBlocks(t *testing.T) {
	whole := withoutCounts(t, always(1<<30))
	for seed := range uint64(2) {
		dice := rand.New(rand.NewPCG(seed, 1))
		require.Equal(t, whole, withoutCounts(t, func() int { return 1 + dice.IntN(5000) }))
	}
}

// Without gaps and with a current that does not swing there is no rhythm to find.
func TestRun_noRhythmNoDerivedRotation(t *testing.T) {
	job := boreJob(bore.Helix)
	job.Bore.Length, job.Deposit.Gaps = 0.018, nil
	r := New(job, nil)
	require.NoError(t, r.Source(source(0)))
	feed(t, r, arcSignal{step: ms, off: func(tick int64) bool { return slowly(tick) >= 6 }}, 310_000*ms, always(1000))
	res := r.Finish()
	require.Len(t, res.Passes, 1)
	require.Equal(t, heat.TravelDeclared, res.Passes[0].TravelBasis)
	require.Equal(t, rotation.FromPlan, res.Passes[0].Rotation.From)
	require.NotEmpty(t, kind(res, "no-rhythm"))
	require.Empty(t, res.Sweeps)
}
