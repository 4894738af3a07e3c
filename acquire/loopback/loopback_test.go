package loopback_test

import (
	"bytes"
	"context"
	"io"
	"io/fs"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/loopback"
)

const longest = time.Minute // after which a test calls it a hang

func opened(t *testing.T) (*loopback.Line, *loopback.End) {
	t.Helper()
	l := loopback.New()
	e, err := loopback.Open(l.Name())
	require.NoError(t, err)
	return l, e
}

// A name means a line as long as its box has it plugged in.
func TestName(t *testing.T) {
	l := loopback.New()
	other := loopback.New()
	assert.NotEqual(t, l.Name(), other.Name())
	assert.True(t, loopback.Is(l.Name()))
	assert.False(t, loopback.Is("COM1"))
	assert.False(t, loopback.Is("/dev/loopback:1"))
	assert.True(t, loopback.Plugged(l.Name()))
	require.NoError(t, l.Close())
	assert.False(t, loopback.Plugged(l.Name()))
	assert.True(t, loopback.Is(l.Name()))
	assert.True(t, loopback.Plugged(other.Name()))
	_, err := loopback.Open(l.Name())
	require.ErrorIs(t, err, fs.ErrNotExist)
	require.NoError(t, other.Close())
}

// More than a line holds goes both ways, byte by byte: whoever writes waits for who reads.
func TestLine_CarriesEveryByte(t *testing.T) {
	l, e := opened(t)
	said := make([]byte, 20_001)
	for k := range said {
		said[k] = byte(k*k + k>>8)
	}
	wrote := make(chan error, 2)
	go func() {
		_, err := l.Write(said)
		wrote <- err
	}()
	go func() {
		_, err := e.Write(said)
		wrote <- err
	}()
	heard := make(chan []byte, 1)
	go func() {
		all := make([]byte, len(said))
		_, err := io.ReadFull(l, all)
		assert.NoError(t, err)
		heard <- all
	}()
	var came bytes.Buffer
	for piece := make([]byte, 777); came.Len() < len(said); {
		n, err := e.ReadWithin(piece, longest)
		require.NoError(t, err)
		require.Positive(t, n)
		came.Write(piece[:n])
	}
	assert.True(t, bytes.Equal(said, came.Bytes()))
	assert.True(t, bytes.Equal(said, <-heard))
	require.NoError(t, <-wrote)
	require.NoError(t, <-wrote)
	require.NoError(t, l.Close())
}

// A line holds so much and no more; what it holds is counted, and stays for who opens it next.
func TestLine_Holds(t *testing.T) {
	l, e := opened(t)
	_, err := e.ReadWithin(make([]byte, 1), 0)
	require.NoError(t, err, "nothing yet is no error")
	require.NoError(t, l.SetWriteDeadline(time.Now().Add(20*time.Millisecond)))
	n, err := l.Write(make([]byte, 5000))
	require.ErrorIs(t, err, os.ErrDeadlineExceeded)
	assert.Equal(t, 4095, n)
	held, err := l.Held()
	require.NoError(t, err)
	assert.Equal(t, 4095, held)
	require.NoError(t, e.Close())
	require.ErrorIs(t, e.Close(), fs.ErrClosed)
	again, err := loopback.Open(l.Name())
	require.NoError(t, err)
	n, err = again.ReadWithin(make([]byte, 5000), longest)
	require.NoError(t, err)
	assert.Equal(t, 4095, n)
	require.NoError(t, l.SetWriteDeadline(time.Time{}))
	_, err = l.Write([]byte("on"))
	require.NoError(t, err, "there is room again, and no deadline")
	require.NoError(t, l.Close())
}

// One at a time has the other end.
func TestOpen_Busy(t *testing.T) {
	l, e := opened(t)
	_, err := loopback.Open(l.Name())
	require.ErrorIs(t, err, loopback.ErrBusy)
	require.NoError(t, e.Close())
	e, err = loopback.Open(l.Name())
	require.NoError(t, err)
	require.NoError(t, e.Close())
	require.NoError(t, l.Close())
}

// A plug that is pulled ends who waits; what came before it is still read.
func TestLine_Close(t *testing.T) {
	l, e := opened(t)
	_, err := l.Write([]byte("last"))
	require.NoError(t, err)
	read, wrote := make(chan error, 1), make(chan error, 1)
	go func() {
		_, err := e.Write(make([]byte, 5000)) // more than a line holds
		wrote <- err
	}()
	go func() {
		_, err := io.ReadFull(l, make([]byte, 5001))
		read <- err
	}()
	require.NoError(t, l.Close())
	require.Error(t, <-read)
	if err := <-wrote; err != nil { // all of it may have been read before
		require.ErrorIs(t, err, fs.ErrClosed)
	}
	buf := make([]byte, 9)
	n, err := e.ReadWithin(buf, longest)
	require.NoError(t, err)
	assert.Equal(t, "last", string(buf[:n]))
	_, err = e.ReadWithin(buf, longest)
	require.ErrorIs(t, err, io.EOF)
	_, err = l.Write([]byte("x"))
	require.ErrorIs(t, err, fs.ErrClosed)
}

// A deadline ends a read that waits already, and every one after it.
func TestLine_SetReadDeadline(t *testing.T) {
	l, e := opened(t)
	ended := make(chan error, 1)
	go func() {
		_, err := l.Read(make([]byte, 1))
		ended <- err
	}()
	require.NoError(t, l.SetReadDeadline(time.Unix(1, 0)))
	require.ErrorIs(t, <-ended, os.ErrDeadlineExceeded)
	_, err := l.Read(make([]byte, 1))
	require.ErrorIs(t, err, os.ErrDeadlineExceeded)
	require.NoError(t, l.SetReadDeadline(time.Time{}))
	_, err = e.Write([]byte("x"))
	require.NoError(t, err)
	_, err = l.Read(make([]byte, 1))
	require.NoError(t, err)
	require.NoError(t, l.Close())
}

// Who waits for a reader waits until one is there now.
func TestLine_AwaitReader(t *testing.T) {
	l := loopback.New()
	none, cancel := context.WithTimeout(t.Context(), 20*time.Millisecond)
	defer cancel()
	require.ErrorIs(t, l.AwaitReader(none), context.DeadlineExceeded)
	came := make(chan error, 1)
	go func() { came <- l.AwaitReader(t.Context()) }()
	e, err := loopback.Open(l.Name())
	require.NoError(t, err)
	require.NoError(t, <-came)
	require.NoError(t, e.Close())
	left, cancel := context.WithTimeout(t.Context(), 20*time.Millisecond)
	defer cancel()
	require.ErrorIs(t, l.AwaitReader(left), context.DeadlineExceeded, "it has left")
	require.NoError(t, l.Close())
}
