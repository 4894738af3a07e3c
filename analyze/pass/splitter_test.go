package pass

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/series"
	"arctally/analyze/arc"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
)

func TestNewSplitter_hasAListener(t *testing.T) {
	require.Panics(t, func() { NewSplitter(job(bore.Helix), heat.Doubt{}, nil) })
}

// The doubt of a pass is that of its beginning.
func TestSplitter_DoubtBy(t *testing.T) {
	good := heat.DoubtOf([]calib.Calibration{{Channel: "voltage", Gain: 1, Relative: 0.001}})
	l := newLathe(job(bore.Straight), 0)
	l.DoubtBy(func(at Moment) heat.Doubt {
		if at.Tick >= 2*s {
			return good
		}
		return heat.Doubt{}
	})
	p := l.play(burn(1.5), wait(1.5), burn(2)).end()
	require.Len(t, p, 2)
	require.InDelta(t, 0.0115, p[0].Budget[0].Uncertainty, 1e-4)
	require.InDelta(t, 0.001, p[1].Budget[0].Uncertainty, 1e-12)
}

// A doubt that was given from the beginning stands where nobody tells another.
func TestNewSplitter_doubt(t *testing.T) {
	good := heat.DoubtOf([]calib.Calibration{{Channel: "voltage", Gain: 1, Relative: 0.001}})
	l := &lathe{}
	l.Splitter = NewSplitter(job(bore.Straight), good, l)
	p := l.play(burn(1)).end()
	require.InDelta(t, 0.001, p[0].Budget[0].Uncertainty, 1e-12)
	require.NotContains(t, names(p[0].Budget), heat.VoltageResolution, "no source has described itself")
}

// Buckets carry the turns at their end, and what those rest on.
func TestSplitter_buckets(t *testing.T) {
	l := newLathe(job(bore.Helix), 3600).play(weld(36))
	l.Finish()
	require.Len(t, l.burned, 99)
	for k, b := range l.burned {
		require.EqualValues(t, (k+1)*10*ms, b.End)
		require.Equal(t, heat.TravelMeasured, b.TurnsBasis)
		require.InDelta(t, 0.1*float64(b.End)/s, b.Turns, 1.1e-3)
		require.InDelta(t, float64(2000*10*ms), b.Energy, 1)
	}
	j := job(bore.Helix)
	j.Rotation.Speed = 0
	l = newLathe(j, 0).play(burn(1))
	require.Empty(t, l.burned[0].TurnsBasis)
	require.Zero(t, l.burned[0].Turns)
}

// The waveform of a ring that parts is that of its own arc: half of the second ring
// has shorts, the first has none.
func TestSplitter_waveform(t *testing.T) {
	l := newLathe(job(bore.Rings), 3600)
	src := sourceOf(3600)
	for k := range src.Channels {
		src.Channels[k].Basis = series.Instantaneous
	}
	l.Source(src)
	until := func(seconds float64, short bool) {
		for ; l.tick < int64(seconds*s); l.tick += ms / 10 {
			if l.tick%(10*ms) == 0 {
				l.Count(l.tick, 360*l.tick/s)
				l.Turn(l.tick)
			}
			x := arc.Sample{Tick: l.tick, V: 20, I: 120}
			if short && l.tick%(10*ms) >= 7*ms {
				x.V, x.I = 2, 300
			}
			l.Samples([]arc.Sample{x})
		}
	}
	until(10, true)
	until(11, false)
	until(12, true)
	p := l.end()
	require.Len(t, p, 2)
	require.InDelta(t, 990, p[0].Waveform.Transfers, 3, "1000 but for those before the meter knew what a short is")
	require.InDelta(t, 100, p[1].Waveform.Transfers, 3)
	require.InDelta(t, 2, float64(p[1].Waveform.Known), 0.02)
}

// Any division of the samples gives the same bits, for every pattern.
func TestSplitter_divisionDoesNotMatter(t *testing.T) {
	for _, pattern := range []bore.Pattern{bore.Helix, bore.Rings, bore.SegmentReversing, bore.SegmentOneWay, bore.Straight} {
		for name, counts := range both {
			t.Run(string(pattern)+" "+name, func(t *testing.T) {
				lay := func(size func() int) *lathe {
					dice := rand.New(rand.NewPCG(7, 8))
					l := newLathe(job(pattern), counts)
					var block []arc.Sample
					flush := func() {
						for len(block) > 0 {
							n := min(len(block), size())
							l.Samples(block[:n])
							block = block[n:]
						}
					}
					turned, way := 0.0, 36.0
					for k := range int64(9000) {
						burning := k%1100 < 1000 && dice.IntN(60) > 0
						if k%1700 == 1699 {
							way = -way
						}
						turned += way / 100
						if n := int64(turned); counts > 0 && (!l.any || n != l.last) {
							flush()
							l.any, l.last = true, n
							l.Count(k*10*ms, n)
							l.Turn(k * 10 * ms)
						}
						x := arc.Sample{Tick: k * 10 * ms, V: dice.Float64(), I: dice.Float64()}
						if burning {
							x.V, x.I = x.V+20, x.I+100
						}
						if dice.IntN(700) == 0 {
							x.Mark = arc.Break
						}
						block = append(block, x)
					}
					flush()
					l.Finish()
					return l
				}
				whole := lay(func() int { return 1 << 30 })
				require.NotEmpty(t, whole.passes)
				dice := rand.New(rand.NewPCG(1, 1))
				for _, size := range []func() int{func() int { return 1 }, func() int { return 1 + dice.IntN(70) }} {
					l := lay(size)
					require.Equal(t, whole.passes, l.passes)
					require.Equal(t, whole.told, l.told)
					require.Equal(t, whole.burned, l.burned)
					require.Equal(t, whole.Doubts(), l.Doubts())
				}
			})
		}
	}
}
