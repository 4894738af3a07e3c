package arc

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// rough is a signal with all that may happen: shorts, arc-outs as long as the hold
// and longer, open circuits, breaks, flags, ticks that stand or step back, gaps.
func rough(dice *rand.Rand, n int) []Sample {
	x := make([]Sample, 0, n)
	tick, on, left := int64(dice.IntN(3)-1)*100*ms, false, 0
	for len(x) < n {
		if left--; left < 0 {
			on, left = !on, dice.IntN(700)
			if dice.IntN(3) == 0 {
				left = 298 + dice.IntN(5)
			}
		}
		s := Sample{Tick: tick, V: 20 + dice.Float64(), I: 100 + dice.Float64()}
		switch {
		case !on && dice.IntN(40) == 0:
			s.V, s.I = 60, 0
		case !on:
			s.V, s.I = dice.Float64(), dice.Float64()
		case dice.IntN(12) == 0:
			s.V, s.I = 2, 300
		}
		if k := dice.IntN(500); k < 5 {
			s.Mark = Mark(1 << k)
		}
		x = append(x, s)
		switch dice.IntN(200) {
		case 0:
		case 1:
			tick -= 2 * ms
		case 2:
			tick += 5 * ms
		case 3:
			tick += 6 * ms
		default:
			tick += ms
		}
	}
	return x
}

// whole is all that a detector told and summed up.
func whole(d *Detector, e *ear, but ...Kind) string {
	d.Flush()
	d.Finish()
	return fmt.Sprintf("%v\n%+v\n%+v\n%d", e.but(but...), e.buckets, d.Sums(), d.Skipped())
}

var sources = map[string]series.Source{
	"any":           {},
	"longest step":  {MaxStep: 5 * ms},
	"instantaneous": {Channels: []series.Channel{{Basis: series.Instantaneous}, {Basis: series.Instantaneous}}},
	"held values":   {HeldAfter: 40 * ms, HeldArc: 10 * ms},
}

// Any division into blocks, the short cuts and none of them give the same bits.
func TestDetector_divisionAndShortCutsDoNotMatter(t *testing.T) {
	for name, src := range sources {
		t.Run(name, func(t *testing.T) {
			skipped := 0
			for seed := range uint64(4) {
				dice := rand.New(rand.NewPCG(seed, 3))
				x := rough(dice, 6000)
				d, plainly := listen(limits, src)
				for _, s := range x {
					if src.HeldAfter > 0 {
						d.held.add(s, d.next)
					} else {
						d.next(s)
					}
				}
				want := whole(d, plainly)
				wantButCold := whole(d, plainly, Cold)
				require.Greater(t, len(plainly.events), 50)

				d, e := listen(limits, src)
				for rest := x; len(rest) > 0; {
					block := rest[:min(len(rest), 1+dice.IntN(900))]
					rest = rest[len(block):]
					play(d, block...)
				}
				require.Equal(t, want, whole(d, e))

				d, e = listen(limits, src)
				for rest := x; len(rest) > 0; {
					block := rest[:min(len(rest), 1+dice.IntN(900))]
					n := d.SkipCold(block, x[0].Tick+4000*ms)
					skipped += n
					if n == 0 {
						n = d.Take(block)
					}
					rest = rest[n:]
				}
				require.Equal(t, wantButCold, whole(d, e, Cold))
			}
			require.Equal(t, src.HeldAfter == 0, skipped > 100)
		})
	}
}

// The short cut goes as far as it may, and no further.
func TestDetector_SkipCold(t *testing.T) {
	quiet := []Sample{out(1), out(2), out(3), out(4)}
	with := func(k int, s Sample) []Sample {
		x := append([]Sample(nil), quiet...)
		x[k] = s
		return x
	}
	for name, x := range map[string]struct {
		samples []Sample
		until   int64 // ms
		n       int
	}{
		"all":                           {quiet, 100, 4},
		"up to the tick":                {quiet, 3, 3},
		"means":                         {with(2, out(3, Averaged)), 100, 4},
		"a break":                       {with(2, out(3, Break)), 100, 2},
		"a flag":                        {with(2, out(3, FlagOff)), 100, 2},
		"current":                       {with(2, at(3, 0, 15)), 100, 2},
		"not enough of it":              {with(2, at(3, 80, 14.9)), 100, 4},
		"a tick that stands":            {with(1, out(1)), 100, 4},
		"a tick that steps back":        {with(2, out(1)), 100, 2},
		"a step as long as the longest": {with(3, out(8)), 100, 4},
		"a longer one":                  {with(3, out(9)), 100, 3},
	} {
		t.Run(name, func(t *testing.T) {
			d, e := listen(limits, series.Source{MaxStep: 5 * ms})
			require.Zero(t, d.SkipCold(x.samples, x.until*ms), "nothing was seen yet")
			play(d, out(0))
			e.events = nil
			require.Equal(t, x.n, d.SkipCold(x.samples, x.until*ms))
			require.Empty(t, e.events)
			newest, _ := d.Newest()
			require.Equal(t, x.samples[x.n-1].Tick, newest)
		})
	}
}

// While the arc burns, is briefly out, or values may be held, every sample counts.
func TestDetector_SkipCold_onlyWhenCold(t *testing.T) {
	d, _ := listen(limits, series.Source{})
	play(d, burning(0), out(1))
	require.Zero(t, d.SkipCold([]Sample{out(2)}, 100*ms))
	d, _ = listen(limits, series.Source{HeldAfter: 5 * ms})
	play(d, out(0), out(9))
	require.Zero(t, d.SkipCold([]Sample{out(10)}, 100*ms))
}

// A step after a short cut begins where that left off: 60 V and 12 A at 2 ms have no
// part in the energy, as they are not in arc.
func TestDetector_SkipCold_leavesTheLastSample(t *testing.T) {
	d, _ := listen(limits, series.Source{})
	play(d, out(0))
	require.Equal(t, 2, d.SkipCold([]Sample{out(1), at(2, 60, 12)}, 100*ms))
	play(d, burning(3), burning(4))
	s := d.Sums()
	require.EqualValues(t, ms, s.Arc)
	require.InDelta(t, 2, float64(s.Energy()), 1e-12)
}

// Take takes all that goes on with the arc at once, up to the end of a bucket.
func TestDetector_Take(t *testing.T) {
	d, _ := listen(limits, series.Source{MaxStep: 5 * ms})
	require.Equal(t, 1, d.Take([]Sample{burning(0), burning(1)}), "the first sample alone")
	require.Equal(t, 3, d.Take([]Sample{burning(1), burning(6), burning(6), burning(12), burning(13)}), "up to the step that is too long")
	require.Equal(t, 1, d.Take([]Sample{burning(12), burning(13)}))
	require.Equal(t, 2, d.Take([]Sample{burning(13), at(14, 0, 15), at(15, 20, 14.9)}))
	require.Equal(t, 1, d.Take([]Sample{burning(20), burning(21)}), "it ends a bucket")
	require.Equal(t, 1, d.Take([]Sample{at(21, 0, 15), burning(22, Averaged)}))
	require.Equal(t, 1, d.Take([]Sample{burning(22, Averaged), burning(23)}))
}
