package port

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.bug.st/serial"
	"golang.org/x/sys/unix"
)

// stuck is a line whose driver takes a write and does not give it back.
type stuck struct {
	entered, leave chan struct{}
	closed         bool
}

func (*stuck) Read([]byte) (int, error) { return 0, nil }

func (s *stuck) Write(data []byte) (int, error) {
	close(s.entered)
	<-s.leave
	return len(data), nil
}

func (*stuck) SetMode(*serial.Mode) error { return nil }
func (*stuck) wake()                      {}

func (s *stuck) Close() error {
	s.closed = true
	return nil
}

// Close says that a write is stuck; the last call out closes the node, and nobody before.
func TestHandle_AStuckWrite(t *testing.T) {
	l, err := takeLock(t.TempDir(), unix.Mkdev(188, 0))
	require.NoError(t, err)
	s := &stuck{entered: make(chan struct{}), leave: make(chan struct{})}
	h := &handle{line: s, lock: l, closed: make(chan struct{})}
	p := &Port{handle: h, closing: make(chan struct{}), stop: func() bool { return true }, sleep: func(time.Duration) bool { return false }}
	written := make(chan error, 1)
	go func() {
		_, err := p.Write([]byte("x"))
		written <- err
	}()
	<-s.entered
	e := portError(t, p.Close())
	assert.Equal(t, Other, e.Kind)
	require.ErrorIs(t, e, errStuck)
	assert.False(t, s.closed, "a call is inside")
	close(s.leave)
	require.NoError(t, <-written)
	require.NoError(t, p.Close())
	assert.True(t, s.closed)
	_, err = h.write([]byte("x"))
	require.ErrorIs(t, err, errShut)
}
