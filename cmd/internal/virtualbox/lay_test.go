package virtualbox_test

import (
	"io"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/terminal"
	"arctally/cmd/internal/virtualbox"
)

// No machine holds such a speed. The host's clock falls behind with the boxes, so that
// theirs do not seem to be slow, which would be in the doubt of every heat input.
func TestClock_fallsBehindWithTheBox(t *testing.T) {
	for name, beside := range map[string]bool{"one": false, "two": true} {
		t.Run(name, func(t *testing.T) {
			p, err := jobfile.Read(jobtest.Short(t, "helix", jobtest.OneTurn))
			require.NoError(t, err)
			boxes, err := virtualbox.New(p, virtualbox.Options{Speed: 1e6, Layers: 1, Faults: virtualbox.NoFaults, Beside: beside})
			require.NoError(t, err)
			began := time.Date(2026, 3, 4, 8, 0, 0, 0, time.UTC)
			s := recording.Session{Job: p, Record: filepath.Join(t.TempDir(), "r.arctally"), Now: virtualbox.Clock(began, boxes[0])}
			_, err = virtualbox.Lay(t.Context(), terminal.New(io.Discard, io.Discard), &s, boxes...)
			require.NoError(t, err)
			r, err := record.Open(s.Record)
			require.NoError(t, err)
			spans, err := r.Epochs()
			require.NoError(t, err)
			require.Len(t, spans, len(boxes))
			for _, span := range spans {
				from, known := r.WallTime(span.Epoch, span.First)
				require.True(t, known)
				until, _ := r.WallTime(span.Epoch, span.Last)
				assert.InDelta(t, time.Duration(span.Last-span.First).Seconds(), until.Sub(from).Seconds(), 0.1, "box %d", span.Box)
				assert.InDelta(t, 0, from.Sub(began).Seconds(), 5, "box %d", span.Box)
			}
			events, err := r.Events()
			require.NoError(t, err)
			for _, e := range events {
				// At such a speed a ms of the machine is seconds of a companion that says little.
				assert.False(t, e.Kind == series.ClockRate && e.Box == 0, e.Text)
			}
			require.NoError(t, r.Close())
		})
	}
}
