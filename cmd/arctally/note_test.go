package main

import (
	"io"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/clock"
	"arctally/acquire/record"
	"arctally/analyze/finding"
	"arctally/analyze/note"
)

// TestEndToEnd_NoteBetweenTwoRecordings stops a recording, types in a temperature,
// goes on, and wants it judged as the next pass begins, live as afterwards.
func TestEndToEnd_NoteBetweenTwoRecordings(t *testing.T) {
	job := shortJob(t, "helix", threeTurns)
	p, err := loadPlan(job)
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "noted.arctally")
	quiet := newScreen(io.Discard, io.Discard)
	var last laid
	for k := range 2 {
		last = layPart(t, p, file, k)
		if k == 0 {
			// The box spoke faster than any clock on the wall; by the newest fit the stop
			// itself may still be to come.
			at := last.Passes[0].End.Tick + 1
			require.NoError(t, addNotes(file, notesOf(t, noteFlags{by: "Operator 1", temperature: "270 degC"}), noteMoment{tick: at}))
		}
	}
	offline, err := openReview(t.Context(), quiet, file, "")
	require.NoError(t, err)
	require.NoError(t, offline.Close())
	assert.Equal(t, last.Passes, offline.result.Passes)
	assert.Equal(t, last.Findings, offline.result.Findings)
	assert.Equal(t, last.Notes, offline.result.Notes)
	require.Len(t, offline.result.Passes, 2)
	require.NotNil(t, offline.result.Passes[1].AtStart.Temperature)
	assert.Equal(t, "Operator 1", offline.result.Passes[1].AtStart.Temperature.By)
	found := 0
	for _, f := range offline.result.Findings {
		if f.Rule == finding.Interpass {
			found++
			assert.Equal(t, 2, f.Pass)
			assert.InDelta(t, 270, f.Worst, 1e-9)
		}
	}
	assert.Equal(t, 1, found)
}

func notesOf(t *testing.T, f noteFlags) []note.Note {
	t.Helper()
	notes, err := f.notes()
	require.NoError(t, err)
	return notes
}

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
		assert.InDelta(t, c.tick*1e9, got.tick, 1, "%g s", c.seconds)
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
