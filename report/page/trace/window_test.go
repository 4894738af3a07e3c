package trace

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// FuzzWindow: any window is refused with what is allowed, or divided into columns
// that lie side by side.
func FuzzWindow(f *testing.F) {
	f.Add(int64(0), int64(1), 1, int64(0))
	f.Add(int64(5), int64(5), 1, int64(5))
	f.Add(int64(7), int64(3), 100, int64(5))
	f.Add(int64(math.MinInt64), int64(math.MaxInt64), 1200, int64(0))
	f.Add(int64(math.MinInt64), int64(-1), 8192, int64(-2))
	f.Add(int64(0), int64(math.MaxInt64), 8193, int64(math.MaxInt64-1))
	f.Add(int64(0), int64(10e9), 0, int64(1))
	in := random(1, 3, 0.5)
	f.Fuzz(func(t *testing.T, from, until int64, columns int, tick int64) {
		w := Window{From: from, Until: until, Columns: columns}
		r, err := New(w, nil, calib.Register{})
		if err != nil {
			var own *Error
			require.ErrorAs(t, err, &own)
			assert.NotEmpty(t, own.Allowed)
			assert.Contains(t, own.Hint(), own.Allowed)
			assert.True(t, until <= from || columns < 1 || columns > MostColumns || until-from < 0)
			return
		}
		if w.holds(tick) {
			c := w.column(tick)
			require.True(t, c >= 0 && c < columns)
			require.Greater(t, w.edge(c), tick)
			require.LessOrEqual(t, w.edge(c), until)
			if c > 0 {
				require.LessOrEqual(t, w.edge(c-1), tick)
			}
		}
		for k := range in.blocks {
			require.NoError(t, r.Add(inventedSource(), &in.blocks[k]))
		}
		got := r.Trace()
		requireOrder(t, w, got.Lines[0])
		requireSamples(t, got.Lines[0], in.within(w))
		requireColumns(t, w, got.Lines[0], in.within(w))
	})
}

// FuzzBlocks: whatever a damaged record hands out, the line stays in order and
// in the window.
func FuzzBlocks(f *testing.F) {
	f.Add(int64(0), int64(100), []byte{1, 2, 3, 250}, true, int64(0))
	f.Add(int64(-5), int64(-1), []byte{1, 2, 3}, false, int64(3))
	f.Add(int64(math.MaxInt64-1), int64(math.MaxInt64), []byte{9, 9}, false, int64(1))
	f.Fuzz(func(t *testing.T, tick, pace int64, said []byte, broken bool, longest int64) {
		w := Window{From: -1000, Until: 1000, Columns: 3}
		r, err := New(w, []string{"voltage", "wire_speed"}, calib.Register{})
		require.NoError(t, err)
		source := inventedSource()
		source.MaxStep = longest
		even := series.Block{Kind: series.Arc, Tick: tick, Step: pace, Break: broken}
		own := series.Block{Kind: series.Arc, Break: broken}
		for _, b := range said {
			even.V, even.I = append(even.V, int32(b)), append(even.I, int32(b))
			own.V, own.I, own.Ticks = append(own.V, int32(b)), append(own.I, int32(b)), append(own.Ticks, int64(int8(b))*9)
		}
		for range 2 {
			for _, b := range []*series.Block{&even, &own} {
				require.NoError(t, r.Add(source, b))
			}
		}
		requireOrder(t, w, r.Trace().Lines[0])
	})
}

func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		window Window
		kind   Kind
		says   string
	}{
		{Window{Until: 10}, BadColumns, "columns: 0 columns; allowed: 1 to 8192"},
		{Window{Until: 10, Columns: 8193}, BadColumns, "columns: 8193 columns; allowed: 1 to 8192"},
		{Window{From: 10, Until: 9, Columns: 1}, BadWindow, "until: the window ends at 9 ns, and begins at 10 ns; allowed: an end after the beginning"},
		{Window{From: math.MinInt64, Until: 1, Columns: 1}, BadWindow, "until: the window is longer than a clock counts; allowed: up to 292 years"},
	} {
		_, err := New(c.window, nil, calib.Register{})
		var own *Error
		require.ErrorAs(t, err, &own)
		assert.Equal(t, c.kind, own.Kind)
		assert.Equal(t, c.says, own.Error()+"; "+own.Hint())
	}
}

func TestUnknownChannel(t *testing.T) {
	r, err := New(Window{Until: 1, Columns: 1}, []string{"turns", "gas"}, calib.Register{})
	require.NoError(t, err)
	err = r.Check(inventedSource())
	var own *Error
	require.ErrorAs(t, err, &own)
	assert.Equal(t, `channels: there is no channel "gas"; allowed: voltage, current, wire_speed, turns, power`, own.Error()+"; "+own.Hint())
	assert.True(t, r.Wants("gas"))
	assert.False(t, r.Wants("voltage"))
}

func TestChangeOfUnit(t *testing.T) {
	r, err := New(Window{Until: 10, Columns: 1}, []string{"wire_speed"}, calib.Register{})
	require.NoError(t, err)
	source, b := inventedSource(), &series.Block{Kind: series.Slow, Ticks: []int64{1}, Channel: []uint8{2}, Value: []float64{1}}
	require.NoError(t, r.Add(source, b))
	source.Channels[2].Unit = "in/min"
	err = r.Add(source, b)
	assert.EqualError(t, err, "channels: wire_speed is in m/s up to 1 ns and in in/min after it")
}
