package review

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/clock"
	"arctally/acquire/quantity"
	"arctally/acquire/record"
	"arctally/analyze/note"
)

func TestPlaceOfTime(t *testing.T) {
	day := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	spans := []record.Span{{Epoch: 0, First: 0, Last: 60e9}, {Epoch: 1, First: 5e9, Last: 60e9}, {Epoch: 2, First: 0, Last: 9e9}}
	fits := []clock.Fit{
		{Epoch: 0, Tick: 0, Wall: day, Slope: 1},
		{Epoch: 1, Tick: 10e9, Wall: day.Add(200 * time.Second), Slope: 1},
		{Epoch: 1, Tick: 10e9, Wall: day.Add(100 * time.Second), Slope: 2}, // the newest rules
	}
	for _, c := range []struct {
		seconds float64
		epoch   int
		tick    float64
	}{
		{-5, 0, -5}, {0, 0, 0}, {80, 0, 80}, {90, 1, 5}, {100, 1, 10}, {120, 1, 20}, {900, 1, 410},
	} {
		got := placeOfTime(day.Add(time.Duration(c.seconds*1e9)), spans, fits)
		assert.Equal(t, c.epoch, got.epoch, "%g s", c.seconds)
		assert.InDelta(t, c.tick*1e9, got.Tick, 1, "%g s", c.seconds)
	}
}

func TestReadAngle(t *testing.T) {
	for text, want := range map[string]quantity.Degrees{
		"90 deg": 90, "0deg": 0, "-90 deg": 270, "360 deg": 0, "-360 deg": 0, "-1e-30 deg": 0, "359.5°": 359.5, "-0 deg": 0,
	} {
		got, err := ReadAngle(text)
		require.NoError(t, err, text)
		assert.InDelta(t, float64(want), float64(*got), 0, text)
		assert.NotPanics(t, func() { note.Note{By: "Operator 1", TorchAt: got}.Event() }, text)
	}
	for text, wrong := range map[string]string{
		"361 deg": "from -360 to 360 deg", "-360.1 deg": "from -360 to 360 deg", "7 rad": "from -360 to 360 deg",
		"90": "no unit; write deg or rad", "90 degC": "degC", "top": "no number", "": "no number", "1e400 deg": "too large",
	} {
		_, err := ReadAngle(text)
		require.ErrorContains(t, err, wrong, text)
	}
}

func TestWallTime(t *testing.T) {
	first, now := time.Date(2026, 3, 2, 23, 0, 0, 0, time.UTC), time.Date(2026, 3, 4, 1, 2, 3, 0, time.UTC)
	for text, want := range map[string]time.Time{
		"now": now, "08:28": time.Date(2026, 3, 2, 8, 28, 0, 0, time.UTC), "08:28:30": time.Date(2026, 3, 2, 8, 28, 30, 0, time.UTC),
		"2026-03-03 00:10": time.Date(2026, 3, 3, 0, 10, 0, 0, time.UTC), "2026-03-03T00:10:00+01:00": time.Date(2026, 3, 2, 23, 10, 0, 0, time.UTC),
	} {
		got, err := wallTime(text, now, first)
		require.NoError(t, err)
		assert.True(t, want.Equal(got), text)
	}
	_, err := wallTime("noon", now, first)
	require.Error(t, err)
}
