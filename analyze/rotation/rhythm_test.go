package rotation

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/procedure"
)

func gapJob(gaps ...bore.Gap) *procedure.Job {
	return &procedure.Job{
		Deposit:  bore.Deposit{Pattern: bore.Helix, Gaps: gaps},
		Rotation: procedure.Rotation{Speed: quantity.Of[quantity.TurnsPerSecond](1.25, "rpm"), StartAngle: 30},
	}
}

// crossed plays so many true turns at an order; the arc goes out and is struck
// with a scatter in turns. Lost adds arc-outs that are no gaps.
func crossed(job *procedure.Job, turns int, order, scatter float64, lost ...outage) *rhythm {
	r := newRhythm(job)
	r.begin(true, 0)
	dice := rand.New(rand.NewPCG(1, 2))
	var outs []outage
	for turn := range turns {
		for _, g := range job.Deposit.Gaps {
			from := float64(turn) + float64(bore.NormalAngle(g.From-job.Rotation.StartAngle))/360
			to := from + float64(g.Width())/360
			outs = append(outs, outage{(from + scatter*dice.NormFloat64()) / order, (to + scatter*dice.NormFloat64()) / order})
		}
	}
	for _, out := range append(outs, lost...) {
		r.out(out)
	}
	return &r
}

func TestRhythm_ofGaps(t *testing.T) {
	keyway := bore.Gap{From: 80, To: 116}
	oilHole := bore.Gap{From: 250, To: 270}
	for name, x := range map[string]struct {
		gaps  []bore.Gap
		turns int
		order float64
	}{
		"one gap, slow": {[]bore.Gap{keyway}, 6, 0.95}, "one gap, fast": {[]bore.Gap{keyway}, 12, 1.2},
		"two gaps": {[]bore.Gap{keyway, oilHole}, 5, 0.8}, "over the reference mark": {[]bore.Gap{{From: 350, To: 20}}, 8, 1.1},
		"three turns": {[]bore.Gap{keyway}, 3, 1.03},
	} {
		t.Run(name, func(t *testing.T) {
			e, ok := crossed(gapJob(x.gaps...), x.turns, x.order, 0.001).ofGaps()
			require.True(t, ok)
			assert.Equal(t, FromGaps, e.from)
			assert.InDelta(t, x.order, e.order, 3*e.uncertainty)
			assert.Less(t, e.relative(), 0.01)
		})
	}
}

func TestRhythm_ofGaps_withOtherArcOuts(t *testing.T) {
	job := gapJob(bore.Gap{From: 80, To: 116})
	e, ok := crossed(job, 8, 0.95, 0.001, outage{2.31, 2.33}, outage{5.5, 5.6}).ofGaps()
	require.True(t, ok)
	assert.InDelta(t, 0.95, e.order, 3*e.uncertainty)
}

func TestRhythm_ofGaps_noRhythm(t *testing.T) {
	job := gapJob(bore.Gap{From: 80, To: 116})
	_, ok := crossed(job, 2, 1, 0).ofGaps()
	assert.False(t, ok, "two gaps are one turn, and no rhythm")
	_, ok = crossed(gapJob(), 0, 1, 0, outage{0.1, 0.2}, outage{1.1, 1.2}, outage{2.1, 2.2}).ofGaps()
	assert.False(t, ok, "no gap is planned")
	r := crossed(job, 0, 1, 0)
	dice := rand.New(rand.NewPCG(3, 4))
	for at := 0.3; at < 12; at += 0.4 + dice.Float64() {
		r.out(outage{at, at + 0.1})
	}
	_, ok = r.ofGaps()
	assert.False(t, ok, "arc-outs as long as the gap, anywhere")
}

// A torch that slows down for a while has the mean rotation of its gaps.
func TestRhythm_ofGaps_unevenTurning(t *testing.T) {
	r := crossed(gapJob(bore.Gap{From: 80, To: 116}), 0, 1, 0)
	turns := func(x float64) float64 { return x - 0.05*math.Max(0, math.Min(x, 6)-3) } // 5 % slower from 3 to 6
	for k := range 8 {
		var at [2]float64
		for j, target := range []float64{float64(k) + 50.0/360, float64(k) + 86.0/360} {
			x := target
			for turns(x) < target {
				x += 1e-4
			}
			at[j] = x
		}
		r.out(outage{at[0], at[1]})
	}
	e, ok := r.ofGaps()
	require.True(t, ok)
	assert.InDelta(t, 7/(7+0.15/0.95), e.order, 0.003)
	assert.Greater(t, e.uncertainty, 0.002)
}

func TestRhythm_onlyWhereAsked(t *testing.T) {
	r := newRhythm(gapJob())
	r.begin(false, 0)
	assert.False(t, r.out(outage{1, 2}))
	assert.False(t, r.hear(0, 10, 10, 0, 5, 1))
}
