package main

import (
	"bytes"
	"context"
	"io"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/terminal"
	"arctally/cmd/internal/virtualbox"
)

// TestEndToEnd_CheckBetweenTwoPasses lays a pass, checks the voltage, and lays
// another one: what was judged live is what the record gives, the first pass is as
// it was, and the second has the line and the doubt of the check.
func TestEndToEnd_CheckBetweenTwoPasses(t *testing.T) {
	job := jobtest.Short(t, "helix", jobtest.ThreeTurns)
	p, err := jobfile.Read(job)
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "checked.arctally")
	quiet := terminal.New(io.Discard, io.Discard)
	var parts []virtualbox.Laid
	for k := range 2 {
		box, err := sensorbox.New(virtualbox.Plan(p, 1, nil))
		require.NoError(t, err)
		s := recording.Session{Job: p, Record: file, More: k > 0, Now: time.Now}
		part, err := virtualbox.Lay(t.Context(), quiet, &s, box)
		require.NoError(t, err)
		parts = append(parts, part)
		if k == 0 {
			var printed bytes.Buffer
			status := run(t.Context(), []string{
				"check", job, "--record", file, "meter", "channel=voltage", "reading=10V,20V,30V,40V",
				"reference=10.2V,20.4V,30.6V,40.8V", "reference-uncertainty=0.1%", "instrument=meter 3", "by=Fitter",
			}, &printed, &printed)
			require.Equal(t, explain.Done, status, printed.String())
		}
	}
	offline, err := openReview(t.Context(), quiet, file, "")
	require.NoError(t, err)
	require.NoError(t, offline.Close())
	assert.Equal(t, parts[1].Result, offline.Result)
	require.Len(t, parts[0].Passes, 1)
	require.Len(t, offline.Result.Passes, 2)
	first, second := offline.Result.Passes[0], offline.Result.Passes[1]
	assert.Equal(t, parts[0].Passes[0], first)
	// The box lays the same plan with the same seed: only the line differs.
	assert.InDelta(t, 1.02, float64(*second.VoltageMean)/float64(*first.VoltageMean), 1e-6)
	assert.InDelta(t, 1.02, float64(second.Energy)/float64(first.Energy), 1e-6)
	assert.NotEqual(t, first.Budget, second.Budget)
	assert.NoError(t, record.Verify(file))
}

// A recording must not be written to from two sides.
func TestCheck_refusesARecordThatIsBeingWritten(t *testing.T) {
	job := jobtest.Short(t, "helix", jobtest.ThreeTurns)
	p, err := jobfile.Read(job)
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "busy.arctally")
	writer, err := p.CreateRecord(file, time.Now())
	require.NoError(t, err)
	var printed bytes.Buffer
	status := run(context.Background(), []string{
		"check", job, "--record", file, "rotation", "turns=3", "time=144s", "instrument=watch", "by=Fitter",
	}, &printed, &printed)
	require.NoError(t, writer.Close())
	assert.Equal(t, explain.Failed, status)
	assert.Contains(t, printed.String(), "busy")
	assert.Contains(t, printed.String(), "hint: another arctally records into this file")
}
