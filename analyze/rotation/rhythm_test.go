package rotation

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
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

// swinging lays the current of so many dial turns, 4 s each, in pieces of 10 ms: it
// swings by 20 A once a true turn, of which there are 0.95 to one on the dial, in
// noise of 1 A.
func swinging(t *Torch, turns float64) {
	dice := rand.New(rand.NewPCG(5, 6))
	for tick := int64(0); tick < int64(turns*4*s); tick += s / 100 {
		x := float64(tick) / (4 * s)
		amperes := 100 + 20*math.Cos(2*math.Pi*0.95*x) + dice.NormFloat64()
		t.Hear(tick, tick+s/100, s/100, amperes*s/100)
	}
}

// The swing of the current tells the rotation where no gap does.
func TestTorch_Hear(t *testing.T) {
	torch := gapped(0.25)
	torch.rhythm.job.Deposit.Gaps = nil
	swinging(torch, 6.9)
	require.Equal(t, heat.TravelDeclared, torch.Basis(), "where it was looked for at 3.5 turns, one second was missing")
	require.True(t, torch.Settle())
	require.Equal(t, heat.TravelDerived, torch.Basis())
	torch.BeginPass(0, true)
	swinging(torch, 8)
	require.Equal(t, heat.TravelDerived, torch.Basis(), "at 7 turns")
	a := torch.Account(8, 32*s)
	require.Equal(t, FromCurrent, a.From)
	require.InDelta(t, 0.95*0.25, float64(a.Speed), 3*float64(a.Uncertainty))
	require.Less(t, torch.Doubt(), 0.01)
	require.InDelta(t, 8, a.Searched, 1e-9)
	require.Positive(t, float64(a.Wander))
	torch.BeginPass(0, true)
	require.Zero(t, torch.Account(0, 0).Searched)
	require.Empty(t, torch.rhythm.series.Points())
}

// Points are the middles of the pieces, in ns and in turns, by their arc time.
func TestTorch_Hear_points(t *testing.T) {
	torch := gapped(0.25)
	for k := range int64(40) { // the first second after the strike is left out
		torch.Hear(k*s/10, (k+1)*s/10, s/20, 120*s/20)
	}
	torch.Hear(4*s, 41*s/10, 0, 0)
	points := torch.rhythm.series.Points()
	require.NotEmpty(t, points)
	p := points[0]
	require.EqualValues(t, s, p.Start)
	require.InDelta(t, 1.05e9, p.At, 1)
	require.InDelta(t, 1.05*0.25, p.Turns, 1e-12)
	require.InDelta(t, 120, p.Mean[0], 1e-9)
	require.InDelta(t, s/20, p.Weight, 1e-9)
	require.InDelta(t, 1, torch.rhythm.turns, 1e-12)
}

// An arc that was struck again says nothing about the turn for a second.
func TestTorch_Outage_strikes(t *testing.T) {
	torch := gapped(0.25)
	torch.Outage(0, 5*s, false)
	for k := range int64(20) {
		torch.Hear(5*s+k*s/10, 5*s+(k+1)*s/10, s/10, 1)
	}
	require.EqualValues(t, int64(6*s), torch.rhythm.series.Points()[0].Start)
}

// The search begins at three and a half turns, and is repeated when there are twice
// as many.
func TestRhythm_searchesNowAndThen(t *testing.T) {
	r := newRhythm(gapJob())
	r.begin(true, 0)
	var searched []int
	for k := range 60 { // half a turn each
		if r.hear(int64(k)*s, int64(k+1)*s, s, 100*s, float64(k+1)/2, 0.5e-9) {
			searched = append(searched, k+1)
		}
	}
	require.Equal(t, []int{7, 14, 28, 56}, searched)
	searched = nil
	for k := range 30 {
		if r.out(outage{float64(k), float64(k) + 0.1}) {
			searched = append(searched, k+1)
		}
	}
	require.Equal(t, []int{3, 6, 12, 24}, searched)
}

// Of the two rhythms the one that is known better counts.
func TestRhythm_estimate_takesTheBetter(t *testing.T) {
	for name, x := range map[string]struct {
		laps int
		from Origin
	}{"three gaps": {3, FromCurrent}, "forty gaps": {40, FromGaps}} {
		t.Run(name, func(t *testing.T) {
			torch := gapped(0.25)
			swinging(torch, 6)
			for k, o := range laps(x.laps) {
				if k%2 == 1 {
					o = outage{o.from + 0.02, o.to + 0.02} // 7 degrees late
				}
				torch.rhythm.outages = append(torch.rhythm.outages, outage{o.from / 0.95, o.to / 0.95})
			}
			gaps, ok := torch.rhythm.ofGaps()
			require.True(t, ok)
			current, ok := torch.rhythm.ofCurrent()
			require.True(t, ok)
			best, ok := torch.rhythm.estimate()
			require.True(t, ok)
			require.Equal(t, x.from, best.from)
			require.InDelta(t, min(gaps.relative(), current.relative()), best.relative(), 0)
		})
	}
}
