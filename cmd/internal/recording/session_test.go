package recording_test

import (
	"io"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
	"arctally/cmd/internal/virtualbox"
)

// stumbler is a follower that breaks in the middle.
type stumbler struct {
	blocks int
	told   *recording.MistakeError
}

func (s *stumbler) Follow(*recording.Judge) {}

func (s *stumbler) Broke(e *recording.MistakeError) { s.told = e }

func (s *stumbler) Source(series.Source) error { return nil }

func (s *stumbler) Event(series.Event) error { return nil }

func (s *stumbler) Block(*series.Block) error {
	if s.blocks++; s.blocks == 100 {
		panic("stumbled")
	}
	return nil
}

// A mistake in what looks on ends neither the recording nor the judging.
func TestSession_AMistakeOfTheFollowerLosesNothing(t *testing.T) {
	p, err := jobfile.Read(jobtest.Short(t, "helix", jobtest.OneTurn))
	require.NoError(t, err)
	box, err := sensorbox.New(virtualbox.Plan(p, 1, nil))
	require.NoError(t, err)
	f := &stumbler{}
	s := recording.Session{Job: p, Record: filepath.Join(t.TempDir(), "r.arctally"), Now: time.Now, Follower: f}
	got, err := virtualbox.Lay(t.Context(), terminal.New(io.Discard, io.Discard), &s, box)
	require.NoError(t, err)
	require.NotNil(t, f.told)
	assert.Contains(t, f.told.Error(), "stumbled")
	assert.Equal(t, 100, f.blocks, "nothing came after it")
	require.Len(t, got.Passes, 1)
	require.NoError(t, record.Verify(s.Record))
	read, err := review.Judge(t.Context(), s.Record, "", func(float64) {})
	require.NoError(t, err)
	require.NoError(t, read.Close())
	assert.Equal(t, got.Passes, read.Result.Passes, "all of it is there")
}
