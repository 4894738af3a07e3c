package main

import (
	"io"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/finding"
	"arctally/analyze/note"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
	"arctally/cmd/internal/virtualbox"
)

// TestEndToEnd_NoteBetweenTwoRecordings stops a recording, types in a temperature,
// goes on, and wants it judged as the next pass begins, live as afterwards.
func TestEndToEnd_NoteBetweenTwoRecordings(t *testing.T) {
	job := jobtest.Short(t, "helix", jobtest.ThreeTurns)
	p, err := jobfile.Read(job)
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "noted.arctally")
	quiet := terminal.New(io.Discard, io.Discard)
	var last virtualbox.Laid
	for k := range 2 {
		last = layPart(t, p, file, k)
		if k == 0 {
			// The box spoke faster than any clock on the wall; by the newest fit the stop
			// itself may still be to come.
			at := last.Passes[0].End.Tick + 1
			require.NoError(t, review.AddNotes(file, notesOf(t, noteFlags{by: "Operator 1", temperature: "270 degC"}), review.Moment{Tick: at}))
		}
	}
	offline, err := openReview(t.Context(), quiet, file, "")
	require.NoError(t, err)
	require.NoError(t, offline.Close())
	assert.Equal(t, last.Passes, offline.Result.Passes)
	assert.Equal(t, last.Findings, offline.Result.Findings)
	assert.Equal(t, last.Notes, offline.Result.Notes)
	require.Len(t, offline.Result.Passes, 2)
	require.NotNil(t, offline.Result.Passes[1].AtStart.Temperature)
	assert.Equal(t, "Operator 1", offline.Result.Passes[1].AtStart.Temperature.By)
	found := 0
	for _, f := range offline.Result.Findings {
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
	typed, err := f.notes()
	require.NoError(t, err)
	notes, err := review.SureNotes(typed, f.sure)
	require.NoError(t, err)
	return notes
}
