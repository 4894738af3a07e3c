package trace

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// The invented source: 0.01 V and 0.1 A a code, at 10 kHz.
func inventedSource() *series.Source {
	return &series.Source{Name: "box", CountsPerTurn: 100, Channels: []series.Channel{
		{Name: "voltage", Unit: "V", Scale: 0.01}, {Name: "current", Unit: "A", Scale: 0.1}, {Name: "wire_speed", Unit: "m/s", Scale: 1},
	}}
}

const step = 100_000

// sample is one sample as a line should have it; group numbers the stretches
// between breaks.
type sample struct {
	tick  int64
	value float64
	group int
}

// invented is what a record hands out, and the voltages that are in it.
type invented struct {
	blocks  []series.Block
	samples []sample // by tick
}

// random makes n blocks of an arc that dips, with breaks before some of them.
func random(seed uint64, n int, breaks float64) *invented {
	r := rand.New(rand.NewPCG(seed, 7))
	in := new(invented)
	tick, group := int64(r.IntN(1000)), 0
	for k := range n {
		b := series.Block{Kind: series.Arc, Step: step}
		if r.Float64() < breaks {
			b.Break = true
			tick += r.Int64N(50 * step)
			if k > 0 {
				group++
			}
		}
		b.Tick = tick
		for range 1 + r.IntN(300) {
			code := int32(r.IntN(2400) - 20)
			b.V, b.I = append(b.V, code), append(b.I, 3*code)
			in.samples = append(in.samples, sample{tick, float64(code) * 0.01, group})
			tick += step
		}
		in.blocks = append(in.blocks, b)
	}
	return in
}

// within returns the samples that lie in a window.
func (in *invented) within(w Window) []sample {
	var found []sample
	for _, s := range in.samples {
		if w.holds(s.tick) {
			found = append(found, s)
		}
	}
	return found
}

// reduce makes a trace of blocks, and checks what holds for any.
func reduce(t testing.TB, w Window, blocks []series.Block, channels []string, calibrations ...calib.Timed) Trace {
	r, err := New(w, channels, calib.Register{All: calibrations})
	require.NoError(t, err)
	source := inventedSource()
	require.NoError(t, r.Check(source))
	for k := range blocks {
		require.NoError(t, r.Add(source, &blocks[k]))
	}
	got := r.Trace()
	for _, l := range got.Lines {
		requireOrder(t, w, l)
	}
	return got
}

func requireOrder(t testing.TB, w Window, l Line) {
	require.Len(t, l.Value, len(l.Tick))
	for k, tick := range l.Tick {
		require.True(t, w.holds(tick), "a point lies outside the window")
		require.False(t, math.IsNaN(l.Value[k]))
		if k > 0 {
			require.LessOrEqual(t, l.Tick[k-1], tick)
		}
	}
	for k, at := range l.Breaks {
		require.Less(t, at, len(l.Tick))
		require.Positive(t, at)
		if k > 0 {
			require.Less(t, l.Breaks[k-1], at)
		}
	}
}

// windowsOf returns windows of many lengths within the samples, and beyond them.
func (in *invented) windows(seed uint64) []Window {
	r := rand.New(rand.NewPCG(seed, 9))
	all := in.samples[len(in.samples)-1].tick
	var windows []Window
	for range 40 {
		from := r.Int64N(all+2) - all/10
		width := int64(math.Exp(r.Float64()*math.Log(float64(all)))) + 1
		windows = append(windows, Window{From: from, Until: from + width, Columns: 1 + r.IntN(60)})
	}
	return append(windows, Window{From: -1e15, Until: 1e15, Columns: 3}, Window{From: math.MinInt64 / 2, Until: math.MaxInt64 / 2, Columns: MostColumns})
}
