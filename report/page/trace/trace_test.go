package trace

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// TestExtremes holds any line against all samples of its window: every point is
// a sample, each column keeps its extremes, and nothing joins across a break.
func TestExtremes(t *testing.T) {
	seeds := uint64(30)
	if testing.Short() {
		seeds = 4
	}
	for seed := range seeds {
		in := random(seed, 60, float64(seed%4)*0.3)
		for _, w := range in.windows(seed) {
			line := reduce(t, w, in.blocks, nil).Lines[0]
			want := in.within(w)
			requireSamples(t, line, want)
			requireColumns(t, w, line, want)
			if len(want) <= 2*w.Columns {
				require.True(t, line.EverySample)
			}
			require.Equal(t, line.EverySample, len(line.Tick) == len(want) && len(want) <= 2*w.Columns)
			require.LessOrEqual(t, len(line.Tick), 10*w.Columns+2)
		}
	}
}

// requireSamples wants every point to be a sample, in the same stretch between
// breaks as the points that it is joined to.
func requireSamples(t *testing.T, line Line, want []sample) {
	groups := make(map[int64]sample, len(want))
	for _, s := range want {
		groups[s.tick] = s
	}
	for k, tick := range line.Tick {
		s, found := groups[tick]
		require.True(t, found, "no sample at %d", tick)
		require.InDelta(t, s.value, line.Value[k], 1e-12)
		if k == 0 || slices.Contains(line.Breaks, k) {
			continue
		}
		require.Equal(t, groups[line.Tick[k-1]].group, s.group, "a line joins across a break")
	}
}

// requireColumns wants the lowest and the highest of each column to be there, at
// their own ticks, and so those of the window.
func requireColumns(t *testing.T, w Window, line Line, want []sample) {
	low, high := map[int]sample{}, map[int]sample{}
	for _, s := range want {
		c := w.column(s.tick)
		if old, found := low[c]; !found || s.value < old.value {
			low[c] = s
		}
		if old, found := high[c]; !found || s.value > old.value {
			high[c] = s
		}
	}
	values := map[int64]float64{}
	for k, tick := range line.Tick {
		values[tick] = line.Value[k]
	}
	for c := range low {
		for _, s := range []sample{low[c], high[c]} {
			value, found := values[s.tick]
			require.True(t, found, "the extreme of column %d at %d is lost", c, s.tick)
			require.InDelta(t, s.value, value, 1e-12)
		}
	}
}

// TestSpike: three samples of 40 V in ten minutes stay visible at every zoom,
// and one short circuit is all there when it fills the page.
func TestSpike(t *testing.T) {
	const n, at = 6_000_000, 4_321_098
	b := series.Block{Kind: series.Arc, Step: step, V: make([]int32, n), I: make([]int32, n)}
	for k := range b.V {
		b.V[k] = 1750
	}
	b.V[at], b.V[at+1], b.V[at+2] = 3900, 4000, 3900
	for _, width := range []int64{n * step, 1e11, 1e10, 1e9, 1e8, 1e7, 1e6} {
		from := max(int64(at*step)-width/3, 0)
		line := reduce(t, Window{From: from, Until: from + width, Columns: 1200}, []series.Block{b}, nil).Lines[0]
		k := slices.Index(line.Value, 40)
		require.GreaterOrEqual(t, k, 0, "the spike is gone at a width of %d ns", width)
		assert.Equal(t, int64((at+1)*step), line.Tick[k])
		assert.LessOrEqual(t, len(line.Tick), 2402)
		assert.Equal(t, width <= 1e8, line.EverySample)
	}
}

// TestDivision: how the samples are divided into blocks makes no difference.
func TestDivision(t *testing.T) {
	in := random(3, 1, 0)
	whole := in.blocks[0]
	for _, w := range in.windows(4) {
		var parts []series.Block
		for from := 0; from < whole.Len(); from += 7 {
			to := min(from+7, whole.Len())
			parts = append(parts, series.Block{Kind: series.Arc, Step: step, Tick: whole.At(from), V: whole.V[from:to], I: whole.I[from:to]})
		}
		assert.Equal(t, reduce(t, w, in.blocks, nil), reduce(t, w, parts, nil))
	}
}

// TestBreaks: every way in which samples do not follow one another breaks a line.
func TestBreaks(t *testing.T) {
	block := func(tick int64, broken bool) series.Block {
		return series.Block{Kind: series.Arc, Tick: tick, Step: step, Break: broken, V: []int32{1, 2}, I: []int32{1, 2}}
	}
	w := Window{Until: 100 * step, Columns: 50}
	for name, c := range map[string]struct {
		second series.Block
		breaks []int
	}{
		"it follows":        {block(2*step, false), nil},
		"nearly a step":     {block(2*step+step/2, false), nil},
		"said by a block":   {block(2*step, true), []int{2}},
		"it comes too late": {block(4*step, false), []int{2}},
	} {
		lines := reduce(t, w, []series.Block{block(0, false), c.second}, nil).Lines
		assert.Equal(t, c.breaks, lines[0].Breaks, name)
		assert.Equal(t, c.breaks, lines[1].Breaks, name)
	}
}

// TestBreaksBesideSlow: a break of the slow channels is none of voltage.
func TestBreaksBesideSlow(t *testing.T) {
	slow := func(tick int64, broken bool, v float64) series.Block {
		return series.Block{Kind: series.Slow, Ticks: []int64{tick}, Channel: []uint8{2}, Value: []float64{v}, Break: broken}
	}
	arc := series.Block{Kind: series.Arc, Step: step, V: []int32{1, 2}, I: []int32{1, 2}}
	got := reduce(t, Window{Until: 1000, Columns: 1}, []series.Block{
		slow(1, false, 0.1), slow(2, true, 0.2), slow(3, false, math.NaN()), slow(4, false, 0.3), arc,
		{Kind: series.Turn, Ticks: []int64{1, 2}, Count: []int64{50, 51}},
	}, []string{"wire_speed", "voltage", "turns", "voltage"})
	require.Len(t, got.Lines, 3)
	assert.Equal(t, []int{1, 2}, got.Lines[0].Breaks)
	assert.Equal(t, []float64{0.1, 0.2, 0.3}, got.Lines[0].Value)
	assert.Empty(t, got.Lines[1].Breaks)
	assert.Equal(t, []float64{0.5, 0.51}, got.Lines[2].Value)
	assert.Equal(t, "turns", got.Lines[2].Unit)
}

// TestStepsBack: samples whose time stamps step back stand at their own times.
func TestStepsBack(t *testing.T) {
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 1))
		b := series.Block{Kind: series.Arc}
		var want []sample
		for k := range 400 {
			tick := int64(k*10 - r.IntN(300)) // many of them before the one before
			code := int32(k)
			b.Ticks, b.V, b.I = append(b.Ticks, tick), append(b.V, code), append(b.I, code)
			want = append(want, sample{tick: tick, value: float64(code) * 0.01})
		}
		for _, columns := range []int{1, 7, 50, 300} {
			w := Window{From: -300, Until: 4000, Columns: columns}
			line := reduce(t, w, []series.Block{b}, nil).Lines[0]
			require.Equal(t, columns == 300, line.EverySample)
			for c := range columns {
				low, high := math.Inf(1), math.Inf(-1)
				for _, s := range want {
					if w.column(s.tick) == c {
						low, high = min(low, s.value), max(high, s.value)
					}
				}
				if !math.IsInf(low, 0) {
					require.Contains(t, line.Value, low)
					require.Contains(t, line.Value, high)
				}
			}
		}
	}
}

// TestCalibrations: 1000 codes are 10 V; corrected 10*2 + 0.5 = 20.5 V, from
// the block on that begins where the calibration does.
func TestCalibrations(t *testing.T) {
	block := func(tick int64) series.Block {
		return series.Block{Kind: series.Arc, Tick: tick, Step: step, V: []int32{1000}, I: []int32{1000}}
	}
	held := calib.Timed{Calibration: calib.Calibration{Channel: "voltage", Gain: 2, Offset: 0.5}, Tick: step}
	got := reduce(t, Window{Until: 1e9, Columns: 10}, []series.Block{block(0), block(step)}, nil, held)
	assert.Equal(t, []float64{10, 20.5}, got.Lines[0].Value)
	assert.Equal(t, []float64{100, 100}, got.Lines[1].Value)
}

// TestNegativeScale: a sensor that is wired backwards has its ends swapped.
func TestNegativeScale(t *testing.T) {
	in := random(5, 20, 0)
	turned := calib.Timed{Calibration: calib.Calibration{Channel: "voltage", Gain: -1}}
	w := Window{Until: in.samples[len(in.samples)-1].tick + 1, Columns: 5}
	line := reduce(t, w, in.blocks, nil, turned).Lines[0]
	for k := range in.samples {
		in.samples[k].value = -in.samples[k].value
	}
	requireSamples(t, line, in.within(w))
	requireColumns(t, w, line, in.within(w))
}

// TestSums: the extremes of a window of sums stand in its middle, for as long as
// it lasts.
func TestSums(t *testing.T) {
	blocks := []series.Block{
		{Kind: series.Sums, Tick: 0, Step: step, Sum: series.WindowSums{Count: 100, VMin: -3, VMax: 4000, IMin: 1, IMax: 2}},
		{Kind: series.Sums, Tick: 100 * step, Step: step, Sum: series.WindowSums{Count: 100, VMin: 5, VMax: 6, IMin: 1, IMax: 1}},
		{Kind: series.Sums, Tick: 500 * step, Step: step, Sum: series.WindowSums{Count: 100, VMin: 5, VMax: 6, IMin: 1, IMax: 1}},
		{Kind: series.Sums, Tick: 600 * step, Step: step},
	}
	got := reduce(t, Window{Until: 1e9, Columns: 100}, blocks, nil)
	line := got.Lines[0]
	assert.Equal(t, []float64{-0.03, 40, 0.05, 0.06, 0.05, 0.06}, line.Value)
	assert.Equal(t, []int64{50 * step, 50 * step, 150 * step, 150 * step, 550 * step, 550 * step}, line.Tick)
	assert.EqualValues(t, 100*step, line.Resolution)
	assert.False(t, line.EverySample)
	assert.Equal(t, []int{4}, line.Breaks)
	assert.Len(t, got.Lines[1].Value, 4, "two extremes that are one are one point")
}
