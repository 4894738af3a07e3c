package trace

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/series"
	"arctally/analyze/finding"
)

// Power is the product of two samples of one tick, never of two extremes.
func TestPower(t *testing.T) {
	in := random(3, 6, 0.4)
	w := Window{From: 0, Until: 1 << 40, Columns: MostColumns}
	got := reduce(t, w, in.blocks, []string{PowerChannel})
	require.Len(t, got.Lines, 1)
	line := got.Lines[0]
	assert.Equal(t, "W", line.Unit)
	require.True(t, line.EverySample)
	k := 0
	for _, b := range in.blocks {
		for i := range b.V {
			assert.Equal(t, b.At(i), line.Tick[k])
			assert.InDelta(t, float64(b.V[i])*0.01*float64(b.I[i])*0.1, line.Value[k], 1e-9)
			k++
		}
	}
	assert.Len(t, line.Breaks, in.samples[len(in.samples)-1].group)
}

// A source that says its power shows that; sums say nothing of how high it went.
func TestPower_OfItsOwn(t *testing.T) {
	source := inventedSource()
	assert.Contains(t, Channels(source), PowerChannel)
	source.Channels[2].Name = PowerChannel
	named := 0
	for _, name := range Channels(source) {
		if name == PowerChannel {
			named++
		}
	}
	assert.Equal(t, 1, named)
	r, err := New(Window{Until: 10 * second, Columns: 4}, []string{PowerChannel}, calib.Register{})
	require.NoError(t, err)
	require.NoError(t, r.AddCell(inventedSource(), 0, Cell{Tick: 0, Length: second, Low: 1, High: 2}))
	assert.Empty(t, r.Trace().Lines)
}

func TestMeans(t *testing.T) {
	channels, means := Means([]string{"voltage", "voltage mean", "power mean"})
	assert.Equal(t, []string{"voltage"}, channels)
	assert.Equal(t, []string{"voltage mean", "power mean"}, means)
	var judged finding.Judged
	judged.Put([]finding.JudgedMeans{
		{Epoch: 1, Tick: 5, Voltage: 1},
		{Epoch: 2, Tick: 5, Voltage: 17},
		{Epoch: 2, Tick: 6, Voltage: 18, Joins: true},
		{Epoch: 2, Tick: 8, Voltage: 19},
		{Epoch: 2, Tick: 9, Voltage: 19.5, Joins: true},
		{Epoch: 2, Tick: 90, Voltage: 99, Joins: true},
	}...)
	trace := Trace{Window: Window{Epoch: 2, From: 5, Until: 20, Columns: 10}, Events: []series.Event{}}
	trace.AddMeans([]string{"voltage mean"}, &judged)
	require.Len(t, trace.Lines, 1)
	assert.Equal(t, Line{Channel: "voltage mean", Unit: "V", Tick: []int64{5, 6, 8, 9}, Value: []float64{17, 18, 19, 19.5}, Breaks: []int{2}, EverySample: true, decimals: floating}, trace.Lines[0])
}
