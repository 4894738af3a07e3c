package trace

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// summed makes a trace of seconds of voltage and of wire speed.
func summed(t *testing.T, w Window, events []series.Event, channel int, seconds ...Second) Line {
	source := inventedSource()
	r, err := New(w, []string{source.Channels[channel].Name, TurnsChannel}, calib.Register{All: []calib.Timed{{Calibration: calib.Calibration{Channel: "voltage", Gain: -2, Offset: 1}}}})
	require.NoError(t, err)
	r.Happened(events)
	for _, s := range seconds {
		require.NoError(t, r.AddSecond(source, channel, s))
		require.NoError(t, r.AddSecond(source, 1-min(channel, 1), s), "one that is not wanted")
		require.NoError(t, r.AddSecond(source, 9, s), "one that is not there")
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
		Second{1e9, 1, 2}, Second{2e9, 10, 20}, Second{3e9, 10, 10}, Second{4e9, 10, 10}, Second{6e9, 10, 10}, Second{100e9, 1, 2})
	assert.EqualValues(t, 1e9, line.Resolution)
	assert.False(t, line.EverySample)
	assert.Equal(t, []int64{2.7e9, 2.7e9, 3.5e9, 4.5e9, 6.5e9}, line.Tick, "in the middle of the second, and within the window")
	assert.Equal(t, []float64{-39, -19, -19, -19, -19}, line.Value)
	assert.Equal(t, []int{3, 4}, line.Breaks, "the gap that is on record, and the second that is missing")
}

func TestSecondsOfARestingChannel(t *testing.T) {
	line := summed(t, Window{Until: 100e9, Columns: 10}, nil, 2, Second{1e9, 1, 2}, Second{20e9, 3, 3})
	assert.Empty(t, line.Breaks, "a temperature every 20 s is no gap")
	assert.Equal(t, []float64{1, 2, 3}, line.Value)
}

func TestSecondsAreReduced(t *testing.T) {
	var seconds []Second
	for k := range int64(40_000) {
		seconds = append(seconds, Second{k * 1e9, 0, 10 + float64(k%977)})
	}
	line := summed(t, Window{Until: 40_000e9, Columns: 1200}, nil, 2, seconds...)
	assert.LessOrEqual(t, len(line.Tick), 2402)
	assert.Contains(t, line.Value, 10+976.0)
}

func TestLevel(t *testing.T) {
	w := Window{Until: 600e9, Columns: 1200}
	assert.False(t, w.Summed(10_000))
	assert.True(t, w.Summed(100_000), "60 million samples")
	w.Columns = 600
	assert.True(t, w.Summed(10), "a second a column")
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
