package sensorbox

import (
	"bytes"
	"context"
	"io"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/loopback"
)

// endReader reads the end of a line until its plug is pulled.
type endReader struct{ *loopback.End }

func (e endReader) Read(p []byte) (int, error) { return e.ReadWithin(p, patience) }

// On a line inside the program the box says the same bytes as on any other, and returns when
// all of them are read.
func TestPlay_OnALineInside(t *testing.T) {
	for _, link := range []string{"binary", "sums", "delimited", "lineprotocol"} {
		t.Run(link, func(t *testing.T) {
			p := shortRun()
			p.Link = link
			box, err := New(p)
			require.NoError(t, err)
			var want bytes.Buffer
			truth, err := box.Write(t.Context(), &want)
			require.NoError(t, err)

			line := loopback.New()
			assert.Equal(t, line.Name(), box.OpenOn(line))
			assert.Panics(t, func() { box.OpenOn(line) })
			end, err := loopback.Open(box.PortName())
			require.NoError(t, err)
			got := make(chan []byte, 1)
			go func() {
				all, err := io.ReadAll(endReader{end})
				assert.NoError(t, err)
				got <- all
			}()
			played, err := box.Play(t.Context())
			require.NoError(t, err)
			assert.Equal(t, truth, played)
			held, err := line.Held()
			require.NoError(t, err)
			assert.Zero(t, held)
			require.NoError(t, box.Close())
			assert.True(t, bytes.Equal(want.Bytes(), <-got))
		})
	}
}

// cutLine is a line whose box is told to end as it writes.
type cutLine struct {
	Line
	cut context.CancelFunc
}

func (c *cutLine) AwaitReader(context.Context) error { return nil }

func (c *cutLine) Write([]byte) (int, error) {
	c.cut()
	return 0, os.ErrDeadlineExceeded
}

// Who has told a box to end may close it as soon as Play returns, whatever is still to be unblocked.
func TestClosedAsSoonAsItEnds(t *testing.T) {
	box, err := New(shortRun())
	require.NoError(t, err)
	for range 2000 {
		ctx, cut := context.WithCancel(t.Context())
		box.OpenOn(&cutLine{loopback.New(), cut})
		_, err := box.Play(ctx)
		require.ErrorIs(t, err, context.Canceled)
		require.NoError(t, box.Close())
	}
}
