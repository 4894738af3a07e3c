package analyze

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
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

// restingOn are the warnings of what passes rest on.
func restingOn(r *Run, of func(*Run, addWarning), passes ...pass.Pass) (all []Warning) {
	r.passes = passes
	of(r, func(kind string, count int64, format string, arg ...any) {
		all = append(all, Warning{Kind: kind, Count: count, Text: fmt.Sprintf(format, arg...)})
	})
	return all
}

func TestRun_ofPasses(t *testing.T) {
	r := New(boreJob(bore.Helix), nil)
	good := pass.Pass{Travel: new(quantity.Metres(1)), TravelBasis: heat.TravelMeasured, PowerBasis: series.Instantaneous, Verdict: heat.Within}
	require.Empty(t, restingOn(r, (*Run).ofPasses, good, good))
	declared, averaged, still, unjudged := good, good, good, good
	declared.TravelBasis, averaged.PowerBasis, unjudged.Verdict = heat.TravelDeclared, series.Average, ""
	still.Travel, still.TravelBasis, still.Verdict = nil, heat.TravelDeclared, ""
	require.Equal(t, []Warning{
		{Kind: "declared-travel", Count: 2, Text: "travel of 2 passes is declared, not measured: heat input and place rest on the plan"},
		{Kind: "averaged-power", Count: 2, Text: "power of 2 passes is that of readings that are means, or slower than 1 kHz; the procedure judges true power, which this can never prove"},
		{Kind: "no-travel", Count: 1, Text: "travel of 1 passes is not known: give the rotation, the travel speed or the length in the job"},
		{Kind: "no-verdict", Count: 1, Text: `1 passes have no verdict: process "MAG" has no thermal efficiency for the definition EN 1011-1`},
	}, restingOn(r, (*Run).ofPasses, good, declared, declared, averaged, averaged, still, unjudged))
	r.job.Procedure.Judge.Power = series.Average
	require.Equal(t, "power of 1 passes is that of readings that are means, or slower than 1 kHz", restingOn(r, (*Run).ofPasses, averaged)[0].Text)
	r.job.Procedure.Limits.HeatInput = quantity.Range[quantity.JoulesPerMetre]{}
	require.Empty(t, restingOn(r, (*Run).ofPasses, unjudged), "there is no limit to judge by")
}

// A derived rotation that is more than 1 % off the declared one is worth a look at the
// dial; a rhythm needs three turns and a half to be looked for.
func TestRun_ofRotation(t *testing.T) {
	r := New(boreJob(bore.Helix), nil)
	derived := func(number int, rpm float64) pass.Pass {
		return pass.Pass{Number: number, TravelBasis: heat.TravelDerived, Rotation: rotation.Account{
			Speed: quantity.TurnsPerSecond(rpm / 60), Uncertainty: 0.002 / 60, Declared: 1.25 / 60, From: rotation.FromGaps, Searched: 8,
		}}
	}
	searched := func(turns float64) pass.Pass { return pass.Pass{Rotation: rotation.Account{Searched: turns}} }
	require.Empty(t, restingOn(r, (*Run).ofRotation, pass.Pass{}))
	require.Equal(t, []Warning{
		{Kind: "rotation", Count: 1, Text: "pass 2: the torch turned at 1.200 rpm (+-0.004 rpm, k = 2) by its " + string(rotation.FromGaps) +
			", -4.0 % off the declared 1.250 rpm; the derived one is used: look at the dial and the drive"},
		{Kind: "rotation", Count: 1, Text: "pass 3: the torch turned at 1.264 rpm (+-0.004 rpm, k = 2) by its " + string(rotation.FromGaps) +
			", 1.1 % off the declared 1.250 rpm; the derived one is used: look at the dial and the drive"},
		{Kind: "derived-travel", Count: 3, Text: "travel of 3 passes is derived from the once-a-turn rhythm of the signal: places hold for a rotation that is even, from the start angle on"},
		{Kind: "no-rhythm", Count: 2, Text: "2 passes are shorter than the 3.5 turns that it takes to derive a rotation from the signal: their declared rotation stands"},
		{Kind: "no-rhythm", Count: 1, Text: "no once-a-turn rhythm stands out of the noise in 1 passes: their declared rotation stands, and angles drift with every turn"},
	}, restingOn(r, (*Run).ofRotation, derived(1, 1.26), derived(2, 1.2), derived(3, 1.264), searched(1), searched(3.4), searched(3.5), searched(0)))
}
