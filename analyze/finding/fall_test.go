package finding

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

// course lays a pass of so many seconds in which voltage, current and wire speed follow a
// function of the time in it.
func (w *weld) course(seconds float64, at func(s float64) (v, i, wire float64)) {
	for s := 0.0; s < seconds; s += 0.1 {
		wire := 0.0
		w.volts, w.amperes, wire = at(s)
		w.burn(0.1)
		if wire > 0 {
			w.Watch.Wire(w.tick, wire)
		}
	}
	w.end()
}

// falls returns what is found of a pass of 100 s, two turns and a bit, whose limits are wide.
func falls(seconds float64, at func(s float64) (v, i, wire float64)) (fall []Finding) {
	job := testJob()
	job.Procedure.Limits = testJob().Procedure.Limits
	job.Procedure.Limits.Voltage, job.Procedure.Limits.Current = lowHigh(quantity.Volts(5), 50), lowHigh(quantity.Amperes(20), 500)
	w := newWeld(job)
	w.course(seconds, at)
	for _, f := range w.Found() {
		if f.Rule == CurrentFall {
			fall = append(fall, f)
		}
	}
	return fall
}

// A current that falls by 8 % while voltage and wire stand is told, with how much; by 3 % it
// is not. It is told as well where noise of 3 % from bin to bin, and a torch off the centre by
// 8 % of the current, lie over it.
func TestFall(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	falling := func(share, noise, swing float64) []Finding {
		return falls(100, func(s float64) (float64, float64, float64) {
			return 18, 140*(1-share*s/100)*(1+swing*math.Cos(2*math.Pi*s/48)) + 140*noise*math.Sqrt(5)*rng.NormFloat64(), 0.09
		})
	}
	f := falling(0.08, 0, 0)
	require.Len(t, f, 1)
	require.InDelta(t, 0.08, f[0].Worst, 0.005)
	require.Equal(t, 0.04, f[0].Limit)
	require.Len(t, falling(0.08, 0.01, 0), 1)
	require.Len(t, falling(0.08, 0.01, 0.08), 1)
	require.Empty(t, falling(0.03, 0, 0))
	require.Empty(t, falling(-0.08, 0, 0), "it rises")
	for range 50 {
		require.Empty(t, falling(0, 0.03, 0.08))
	}
}

// A torch off the centre, and an oval bore, over few turns, are no trend.
func TestFall_swingIsNone(t *testing.T) {
	for _, seconds := range []float64{20, 40, 60, 75, 90, 110} {
		for phase := range 8 {
			require.Empty(t, falls(seconds, func(s float64) (float64, float64, float64) {
				x := 2*math.Pi*s/48 + float64(phase)*math.Pi/4
				return 18, 140 * (1 + 0.08*math.Cos(x) + 0.04*math.Cos(2*x)), 0.09
			}), "%v s, phase %d", seconds, phase)
		}
	}
}

// A current that wanders slowly is none either: of twenty, with 4 % over 10 s.
func TestFall_wander(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for range 20 {
		wander := 0.0
		require.Empty(t, falls(100, func(float64) (float64, float64, float64) {
			wander += -0.01*wander + 0.04*math.Sqrt(0.02)*rng.NormFloat64()
			return 18, 140 * (1 + wander), 0.09
		}))
	}
}

// The uncertainty of a trend holds what a current that wanders makes of it: k = 2 covers about
// nine tenths of 300 wanders in which each value is four fifths of the one before it. (Without the
// correlation it would be half.)
func TestFall_uncertainty(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	covered := 0
	for range 300 {
		bins, last := make([]slowBin, 180), 0.0
		for k := range bins {
			last = 0.8*last + rng.NormFloat64()
			bins[k] = slowBin{time: 1, at: float64(k), i: 100 + last}
		}
		fitted := new(fall).trend(bins, func(b *slowBin) float64 { return b.i })
		if math.Abs(fitted.change) <= 2*fitted.uncertainty {
			covered++
		}
	}
	require.Greater(t, covered, 255)
	require.Less(t, covered, 300)
}

// What goes with the wire, or with the voltage, is no wear; nor are the hot start and the
// ramp at the end. A wire that nobody reads is taken for steady.
func TestFall_otherCauses(t *testing.T) {
	steady := func(s float64) (v, i, wire float64) { return 18, 140 * (1 - 0.08*s/100), 0.09 }
	require.Len(t, falls(100, steady), 1)
	for name, at := range map[string]func(s float64) (v, i, wire float64){
		"wire":    func(s float64) (float64, float64, float64) { v, i, w := steady(s); return v, i, w * (1 - 0.08*s/100) },
		"voltage": func(s float64) (float64, float64, float64) { v, i, w := steady(s); return v * (1 - 0.06*s/100), i, w },
		"crater":  func(s float64) (float64, float64, float64) { return 18, 140 * (1 - 0.5*max(0, 1-(99.9-s)/5)), 0.09 },
		"ends": func(s float64) (float64, float64, float64) {
			return 18, 140 + 200*max(0, 1-s/1.8) - 100*max(0, 1-(99.9-s)/1.8), 0.09
		},
	} {
		require.Empty(t, falls(100, at), name)
	}
	require.Len(t, falls(100, func(s float64) (float64, float64, float64) { v, i, _ := steady(s); return v, i, 0 }), 1)
	require.Empty(t, falls(13, func(s float64) (float64, float64, float64) { return 18, 140 * (1 - 0.1*s/13), 0.09 }), "too short")
}

// A long pass has longer bins, and no more of them.
func TestFall_longPass(t *testing.T) {
	f := falls(600, func(s float64) (float64, float64, float64) { return 18, 140 * (1 - 0.08*s/600), 0.09 })
	require.Len(t, f, 1)
	require.InDelta(t, 0.08/0.96, f[0].Worst, 0.002)
}

// Where there are too many bins, each two become one, and nothing of them is lost.
func TestFall_binsJoin(t *testing.T) {
	f := &fall{length: firstBin}
	for k := range mostBins {
		f.open = slowBin{time: 1, v: 2, i: 3, at: 4, turns: 5, wire: 6, wireFor: 7, end: int64(k)}
		f.put()
	}
	require.Len(t, f.bins, mostBins/2)
	require.Equal(t, slowBin{time: 2, v: 4, i: 6, at: 8, turns: 10, wire: 12, wireFor: 14, end: 1}, f.bins[0])
	require.EqualValues(t, mostBins-1, f.bins[mostBins/2-1].end)
	require.EqualValues(t, 2*firstBin, f.length)
}
