package port

import (
	"context"
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/loopback"
	"arctally/acquire/series"
)

// A line inside the program is opened by its name like any port: bytes go both ways, it has
// one reader, and a plug that is pulled is waited for.
func TestPort_Inside(t *testing.T) {
	line := loopback.New()
	ctx, end := context.WithCancel(t.Context())
	defer end()
	p, err := Open(ctx, Config{Name: line.Name(), LockDir: t.TempDir()})
	require.NoError(t, err)
	_, err = Open(ctx, Config{Name: line.Name(), LockDir: t.TempDir()})
	var e *Error
	require.ErrorAs(t, err, &e)
	assert.Equal(t, Busy, e.Kind)

	buf := make([]byte, 8)
	_, err = line.Write([]byte("said"))
	require.NoError(t, err)
	n, err := p.Read(buf)
	require.NoError(t, err)
	assert.Equal(t, "said", string(buf[:n]))
	_, err = p.Write([]byte("asked"))
	require.NoError(t, err)
	n, err = line.Read(buf)
	require.NoError(t, err)
	assert.Equal(t, "asked", string(buf[:n]))
	require.NoError(t, p.Retune(9600), "it has no baud rate")

	told := make(chan series.EventKind, 1)
	p.Watch(func(e series.Event) { told <- e.Kind })
	ended := make(chan error, 1)
	go func() {
		_, err := p.Read(buf)
		ended <- err
	}()
	require.NoError(t, line.Close())
	require.Equal(t, series.Unplugged, <-told)
	require.NoError(t, p.Close())
	require.ErrorIs(t, <-ended, io.EOF)

	_, err = Open(ctx, Config{Name: line.Name(), LockDir: t.TempDir()})
	require.ErrorAs(t, err, &e)
	assert.Equal(t, Missing, e.Kind)
	_, err = nodeBehind(line.Name())
	require.Error(t, err)
	again := loopback.New()
	_, err = nodeBehind(again.Name())
	require.NoError(t, err)
	require.NoError(t, again.Close())
}
