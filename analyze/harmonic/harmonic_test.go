package harmonic

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// constructed is a curve of so many assumed turns, 40 points in each, with a wave
// once a true turn and one twice, in noise of a standard deviation of 1.
func constructed(turns, order, once, twice float64, dice *rand.Rand) *Curve {
	var c Curve
	for k := range int(turns * 40) {
		x := (float64(k) + 0.5) / 40
		y := 140 + 0.05*x + once*math.Cos(2*math.Pi*(order*x-0.3)) + twice*math.Cos(2*math.Pi*(2*order*x-0.1)) + dice.NormFloat64()
		if a := order*x - math.Floor(order*x); a >= 0.22 && a < 0.32 {
			continue // a gap
		}
		c.Add(x, y, 1)
	}
	return &c
}

func dice(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 17)) }

func TestCurve_Fit(t *testing.T) {
	c := constructed(10, 1, 2, 1, dice(1))
	waves, ok := c.Fit(1, 2)
	require.True(t, ok)
	assert.InDelta(t, 2, waves[0].Amplitude(), 0.25)
	assert.InDelta(t, 0.3, waves[0].Crest(), 0.01)
	assert.InDelta(t, 1, waves[1].Amplitude(), 0.25)
	assert.InDelta(t, 0.1, waves[1].Crest(), 0.02)
	_, ok = new(Curve).Fit(1)
	assert.False(t, ok, "nothing to fit")
	_, ok = c.Fit(1, 1)
	assert.False(t, ok, "two waves that are one")
}

// What is called a chance must be one: of 4000 curves of noise as many fall below
// a limit as the limit says, within what counting allows.
func TestNoise_Chance(t *testing.T) {
	const runs = 4000
	below := map[float64]int{0.1: 0, 0.01: 0}
	random := dice(2)
	for range runs {
		c := constructed(6, 1, 0, 0, random)
		waves, ok := c.Fit(1, 2)
		require.True(t, ok)
		n := c.Noise(1)
		for limit := range below {
			if n.Chance(waves[0].Power()) < limit {
				below[limit]++
			}
		}
	}
	for limit, count := range below {
		expected := limit * runs
		assert.InDelta(t, expected, count, 4*math.Sqrt(expected), "chance %g", limit)
	}
	n := Noise{Power: 2, Places: 30}
	assert.InDelta(t, 1e-4, n.Chance(n.PowerAt(1e-4)), 1e-10)
	assert.Equal(t, 1.0, Noise{}.Chance(5), "nothing is known of the noise")
	assert.True(t, math.IsInf(Noise{}.PowerAt(0.1), 1))
}

// The scatter of the order over constructed curves must be what its uncertainty
// says, a little less at most: the drift makes it careful.
func TestCurve_FindRhythm(t *testing.T) {
	for name, x := range map[string]struct{ order, once, twice float64 }{
		"slow, off-centre": {0.93, 1, 0}, "fast, oval": {1.12, 0, 1}, "both": {1.04, 0.7, 0.7},
	} {
		t.Run(name, func(t *testing.T) {
			random := dice(3)
			const runs = 60
			off, doubt := 0.0, 0.0
			for range runs {
				r, ok := constructed(10, x.order, x.once, x.twice, random).FindRhythm()
				require.True(t, ok)
				require.InDelta(t, x.order, r.Order, 0.03)
				off += (r.Order - x.order) * (r.Order - x.order) / runs
				doubt += r.Uncertainty * r.Uncertainty / runs
			}
			assert.InDelta(t, 1, math.Sqrt(off/doubt), 0.45, "scatter over stated uncertainty")
			assert.Less(t, math.Sqrt(off/doubt), 1.2)
		})
	}
}

func TestCurve_FindRhythm_noneInNoise(t *testing.T) {
	random := dice(4)
	for k := range 300 {
		c := constructed(4+float64(k%12), 1, 0, 0, random)
		_, ok := c.FindRhythm()
		require.False(t, ok, "run %d", k)
	}
}

// A fault that comes once is no rhythm, nor is a level that wanders.
func TestCurve_FindRhythm_noneInFaults(t *testing.T) {
	random := dice(5)
	for seed := range 60 {
		step, wander := constructed(10, 1, 0, 0, random), constructed(10, 1, 0, 0, random)
		at, level := 10*random.Float64(), 0.0
		for k := range step.X {
			if d := step.X[k] - at; d > 0 && d < 0.3 {
				step.Y[k] -= 30
			}
			level += 0.2 * random.NormFloat64()
			wander.Y[k] += level
		}
		_, ok := step.FindRhythm()
		require.False(t, ok, "step %d", seed)
		_, ok = wander.FindRhythm()
		require.False(t, ok, "wander %d", seed)
	}
}

func TestSeries_boundedAndWithoutLosingWeight(t *testing.T) {
	s := NewSeries(50, 64)
	weight, sum := 0.0, 0.0
	s.Strike(-2 * settling)
	for k := range int64(10_000) {
		s.Add(Point{Start: 10 * k, End: 10*k + 10, At: float64(10*k + 5), Weight: 10, Turns: float64(k), Mean: [Channels]float64{float64(k)}})
	}
	s.Add(Point{Start: 10 * ending, End: 10*ending + 10, At: 10*ending + 5, Weight: 10}) // lets the others through
	require.LessOrEqual(t, len(s.Points()), 64)
	for _, p := range s.Points() {
		weight += p.Weight
		sum += p.Weight * p.Mean[0]
		assert.InDelta(t, p.Turns, p.Mean[0], 1e-6)
	}
	assert.InDelta(t, 100_000, weight, 1e-6)
	assert.InDelta(t, 4999.5, sum/weight, 1e-6)
}

func TestSeries_leavesOutStrikeAndEnd(t *testing.T) {
	s := NewSeries(1, 1000)
	for begin := int64(0); begin < 20_000_000_000; begin += 10_000_000_000 {
		s.Strike(begin)
		for at := begin; at < begin+5_000_000_000; at += 10_000_000 {
			s.Add(Point{Start: at, End: at + 10_000_000, At: float64(at), Weight: 1})
		}
		s.Rest()
	}
	require.Len(t, s.Points(), 2*(400-11))
	for _, p := range s.Points() {
		in := p.Start % 10_000_000_000
		assert.GreaterOrEqual(t, in, int64(settling))
		assert.LessOrEqual(t, in, int64(5_000_000_000-ending))
	}
}

// BenchmarkFindRhythm reports the search in 100 turns of 20 points, the most that
// a pass keeps, against that many seconds of welding at 48 s a turn.
func BenchmarkFindRhythm(b *testing.B) {
	random := dice(6)
	var c Curve
	for k := range 2000 {
		x := (float64(k) + 0.5) / 20
		c.Add(x, math.Cos(2*math.Pi*0.95*x)+random.NormFloat64(), 1)
	}
	for b.Loop() {
		if _, ok := c.FindRhythm(); !ok {
			b.Fatal("no rhythm")
		}
	}
	b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)/4800*1e6, "us/welded-s")
}
