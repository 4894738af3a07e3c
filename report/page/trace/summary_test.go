package trace

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// summed makes a trace of seconds of voltage and of wire speed.
func summed(t *testing.T, w Window, events []series.Event, channel int, seconds ...Cell) Line {
	source := inventedSource()
	r, err := New(w, []string{source.Channels[channel].Name, TurnsChannel}, calib.Register{All: []calib.Timed{{Calibration: calib.Calibration{Channel: "voltage", Gain: -2, Offset: 1}}}})
	require.NoError(t, err)
	r.Happened(events)
	for _, s := range seconds {
		require.NoError(t, r.AddCell(source, channel, s))
		require.NoError(t, r.AddCell(source, 1-min(channel, 1), s), "one that is not wanted")
		require.NoError(t, r.AddCell(source, 9, s), "one that is not there")
	}
	require.Len(t, r.Trace().Lines, 1, "there are no summaries of the turns")
	line := r.Trace().Lines[0]
	requireOrder(t, w, line)
	return line
}

// Corrected, 10 V is -2*10 + 1 = -19 V, and 20 V is -39 V.
func TestSeconds(t *testing.T) {
	w := Window{From: 2.7e9, Until: 100e9, Columns: 10}
	line := summed(t, w, []series.Event{{Kind: series.Gap, Tick: 4.1e9, Until: 4.2e9}}, 0,
		second1(1e9, 1, 2), second1(2e9, 10, 20), second1(3e9, 10, 10), second1(4e9, 10, 10), second1(6e9, 10, 10), second1(100e9, 1, 2))
	assert.EqualValues(t, 1e9, line.Resolution)
	assert.False(t, line.EverySample)
	assert.Equal(t, []int64{2.7e9, 2.7e9, 3.5e9, 4.5e9, 6.5e9}, line.Tick, "in the middle of the second, and within the window")
	assert.Equal(t, []float64{-39, -19, -19, -19, -19}, line.Value)
	assert.Equal(t, []int{3, 4}, line.Breaks, "the gap that is on record, and the second that is missing")
}

func TestSecondsOfARestingChannel(t *testing.T) {
	line := summed(t, Window{Until: 100e9, Columns: 10}, nil, 2, second1(1e9, 1, 2), second1(20e9, 3, 3))
	assert.Empty(t, line.Breaks, "a temperature every 20 s is no gap")
	assert.Equal(t, []float64{1, 2, 3}, line.Value)
}

func TestSecondsAreReduced(t *testing.T) {
	var seconds []Cell
	for k := range int64(40_000) {
		seconds = append(seconds, second1(k*1e9, 0, 10+float64(k%977)))
	}
	line := summed(t, Window{Until: 40_000e9, Columns: 1200}, nil, 2, seconds...)
	assert.LessOrEqual(t, len(line.Tick), 2402)
	assert.Contains(t, line.Value, 10+976.0)
}

// second1 is a summary of a second of a record that does not say what follows.
func second1(tick int64, low, high float64) Cell {
	return Cell{Tick: tick, Length: 1e9, Low: low, High: high, Unsaid: true}
}

// A record that says what follows is taken at its word: a cell without samples is no
// gap where the source samples less often, and a gap breaks the line however short.
func TestCells_BreakWhereTheRecordSaysSo(t *testing.T) {
	line := summed(t, Window{Until: 1e9, Columns: 100}, nil, 0,
		Cell{Tick: 0, Length: 1e7, Low: 1, High: 1}, Cell{Tick: 5e7, Length: 1e7, Low: 1, High: 1},
		Cell{Tick: 6e7, Length: 1e7, Low: 1, High: 1, Broken: true}, Cell{Tick: 7e7, Length: 1e7, Low: 1, High: 1})
	assert.Equal(t, []int{2}, line.Breaks)
	assert.EqualValues(t, 1e7, line.Resolution)
	assert.Equal(t, []int64{0.5e7, 5.5e7, 6.5e7, 7.5e7}, line.Tick)
}

func TestLevel(t *testing.T) {
	lengths := Lengths{Cells: []int64{1e7, 1e8, 1e9, 1e10}, MostSamples: 1_000_000}
	older := Lengths{Cells: []int64{1e9}, MostSamples: 1_000_000}
	for _, test := range []struct {
		width   int64
		rate    float64
		lengths Lengths
		level   int
		summed  bool
		because string
	}{
		{12e9 - 1, 10_000, lengths, 0, false, "a column is less than a cell"},
		{12e9, 10_000, lengths, 0, true, "a cell is a column"},
		{120e9, 10_000, lengths, 1, true, "ten cells are a column"},
		{12_000e9, 10_000, lengths, 3, true, "the longest cells"},
		{12e9, 200, lengths, 0, false, "every sample has its place"},
		{12e9, 201, lengths, 0, true, "one more has not"},
		{1200e9, 1, lengths, 2, true, "a column is a second"},
		{1e9, 1_000_000, lengths, 0, false, "as many samples as may be"},
		{1e9, 1_000_001, lengths, 0, true, "one too many"},
		{100e9, 10_000, older, 0, false, "a column is less than a second"},
		{101e9, 10_000, older, 0, true, "too many samples"},
		{1200e9, 1, older, 0, true, "a column is a second"},
	} {
		level, summed := Window{Until: test.width, Columns: 1200}.Level(test.rate, test.lengths)
		assert.Equal(t, test.summed, summed, test.because)
		if summed {
			assert.Equal(t, test.level, level, test.because)
		}
	}
}

func TestHappened(t *testing.T) {
	r, err := New(Window{Epoch: 1, From: 100, Until: 200, Columns: 2}, nil, calib.Register{})
	require.NoError(t, err)
	at := func(kind series.EventKind, tick, until int64, text string) series.Event {
		return series.Event{Kind: kind, Epoch: 1, Tick: tick, Until: until, Text: text}
	}
	r.Happened([]series.Event{
		at(series.Reboot, 150, 150, "later"), at(series.Gap, 90, 110, "reaches in"), at(series.Gap, 111, 113, "same column"), at(series.Gap, 160, 161, "other column"),
		at(series.Remark, 101, 101, "one"), at(series.Remark, 102, 0, "two"), at(series.Gap, 200, 201, "after"), at(series.Gap, 10, 99, "before"),
		{Kind: series.Gap, Tick: 150, Until: 150, Text: "another epoch"},
	})
	var said []string
	for _, e := range r.Trace().Events {
		said = append(said, e.Text)
	}
	assert.Equal(t, []string{"reaches in (and 1 more like it)", "one", "two", "later", "other column"}, said)
	assert.EqualValues(t, 113, r.Trace().Events[0].Until)
}
