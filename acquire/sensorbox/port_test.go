//go:build linux

package sensorbox

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

func openBox(t *testing.T, p Plan) (*Box, *os.File) {
	t.Helper()
	box, err := New(p)
	require.NoError(t, err)
	name, err := box.Open()
	require.NoError(t, err)
	assert.Equal(t, name, box.PortName())
	reader, err := os.OpenFile(name, os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, reader.Close()) })
	return box, reader
}

type readResult struct {
	bytes []byte
	err   error
}

// readAll reads until the plug is pulled. A read that waits for bytes then ends
// with none; one that begins in that moment is told EIO.
func readAll(r io.Reader) <-chan readResult {
	out := make(chan readResult, 1)
	go func() {
		var got bytes.Buffer
		_, err := io.Copy(&got, r)
		if errors.Is(err, unix.EIO) {
			err = nil
		}
		out <- readResult{got.Bytes(), err}
	}()
	return out
}

func TestPortCarriesEveryByte(t *testing.T) {
	for _, link := range []string{"binary", "sums", "delimited", "lineprotocol"} {
		t.Run(link, func(t *testing.T) {
			p := shortRun()
			p.Link = link
			box, reader := openBox(t, p)
			var want bytes.Buffer
			truth, err := box.Write(t.Context(), &want)
			require.NoError(t, err)
			require.Positive(t, want.Len())

			got := readAll(reader)
			played, err := box.Play(t.Context())
			require.NoError(t, err)
			assert.Equal(t, truth, played)
			require.NoError(t, box.Close())
			r := <-got
			require.NoError(t, r.err, "a pulled plug is the end of the stream")
			assert.True(t, bytes.Equal(want.Bytes(), r.bytes), "%d bytes written, %d read", want.Len(), len(r.bytes))
		})
	}
}

// untilHeld returns once so many bytes wait to be read.
func untilHeld(t *testing.T, reader *os.File, bytes int) {
	t.Helper()
	require.Eventually(t, func() bool {
		held := 0
		err := onDescriptor(reader, func(fd int) (err error) {
			held, err = unix.IoctlGetInt(fd, unix.TIOCINQ)
			return err
		})
		return err == nil && held >= bytes
	}, patience, 5*time.Millisecond)
}

const lineHolds = 4095 // bytes that the kernel keeps for a reader: the box then waits for it

func TestSlowReaderLosesNothing(t *testing.T) {
	p := shortRun()
	p.Link = "sums"
	box, reader := openBox(t, p)
	var want bytes.Buffer
	_, err := box.Write(t.Context(), &want)
	require.NoError(t, err)
	done := make(chan error, 1)
	go func() {
		_, err := box.Play(t.Context())
		done <- err
	}()
	untilHeld(t, reader, lineHolds)
	got := make([]byte, want.Len())
	_, err = io.ReadFull(reader, got)
	require.NoError(t, err)
	require.NoError(t, <-done)
	assert.True(t, bytes.Equal(want.Bytes(), got))
	require.NoError(t, box.Close())
}

// Nobody reads: what is written would be lost. However long it waits, it has begun
// nothing by the end of its context.
func TestPlayWaitsForAReader(t *testing.T) {
	box, err := New(shortRun())
	require.NoError(t, err)
	_, err = box.Open()
	require.NoError(t, err)
	ctx, cancel := context.WithTimeout(t.Context(), 2*(lookEvery+settleTime))
	defer cancel()
	truth, err := box.Play(ctx)
	require.ErrorIs(t, err, context.DeadlineExceeded)
	assert.Equal(t, Truth{}, truth)
	require.NoError(t, box.Close())
	require.NoError(t, box.Close(), "closing twice is no harm")
	assert.Empty(t, box.PortName())
}

// TestCancelEndsABlockedWrite has a reader that never reads.
func TestCancelEndsABlockedWrite(t *testing.T) {
	box, reader := openBox(t, shortRun())
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() {
		_, err := box.Play(ctx)
		done <- err
	}()
	untilHeld(t, reader, lineHolds)
	cancel()
	require.ErrorIs(t, <-done, context.Canceled)
	require.NoError(t, box.Close())
}

// The box says what is left unread by a reader that has stopped reading.
func TestDrainNamesWhatIsLeft(t *testing.T) {
	box, reader := openBox(t, shortRun())
	_, err := box.line.Write([]byte("unread"))
	require.NoError(t, err)
	untilHeld(t, reader, 6)
	err = drain(t.Context(), box.line, 0)
	require.EqualError(t, err, "sensor box: the reader of "+box.PortName()+" left 6 bytes unread")
	_, err = io.ReadFull(reader, make([]byte, 6))
	require.NoError(t, err)
	require.NoError(t, drain(t.Context(), box.line, patience))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	require.ErrorIs(t, drain(ctx, box.line, patience), context.Canceled)
	require.NoError(t, box.Close())
}

func TestPlaySpeed(t *testing.T) {
	p := shortRun()
	p.PlaySpeed = 10
	box, reader := openBox(t, p)
	got := readAll(reader)
	begin := time.Now()
	truth, err := box.Play(t.Context())
	took := time.Since(begin)
	require.NoError(t, err)
	require.NoError(t, box.Close())
	<-got
	assert.GreaterOrEqual(t, took.Seconds(), float64(truth.End.Since)/1e9/10-leastWait.Seconds())
}
