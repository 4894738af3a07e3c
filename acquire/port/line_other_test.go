//go:build !linux

package port

import (
	"context"
	"errors"
	"os"
	"testing"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// Nobody reads the other end, so the write blocks when the line is full, and
// closing does not wake it. Close says so; the last call out closes the node.
func TestPort_CloseDuringAStuckWrite(t *testing.T) {
	a := newAdapter(t)
	filled := fill(t, a.link)
	c := config(t, a.link)
	p, err := Open(context.Background(), c)
	require.NoError(t, err)
	require.NoError(t, unix.Close(filled))
	h := p.current()
	written := make(chan error, 1)
	go func() {
		_, err := p.Write(make([]byte, 1<<20))
		written <- err
	}()
	eventually(t, "the write is under way", func() bool {
		h.mu.Lock()
		defer h.mu.Unlock()
		return h.users == 1
	})
	e := portError(t, p.Close())
	assert.Equal(t, Other, e.Kind)
	assert.ErrorIs(t, e, errStuck)
	_, err = Open(context.Background(), c)
	requireKind(t, err, Busy)

	drained := drain(a.master)
	requireKind(t, <-written, Closed)
	require.NoError(t, p.Close())
	again, err := Open(context.Background(), c)
	require.NoError(t, err, "free once the write has ended")
	require.NoError(t, again.Close())
	require.NoError(t, a.master.Close())
	<-drained
}

// The library panics on a descriptor beyond 1023; the port has an error instead.
func TestOpen_TooManyOpenFiles(t *testing.T) {
	var limit unix.Rlimit
	require.NoError(t, unix.Getrlimit(unix.RLIMIT_NOFILE, &limit))
	if limit.Cur < unix.FD_SETSIZE+64 {
		t.Skipf("this process may open %d files only", limit.Cur)
	}
	master, slave, err := pty.Open()
	require.NoError(t, err)
	defer func() { require.NoError(t, errors.Join(master.Close(), slave.Close())) }()
	var taken []*os.File
	defer func() {
		for _, f := range taken {
			require.NoError(t, f.Close())
		}
	}()
	last := func() *os.File { return taken[len(taken)-1] }
	for len(taken) == 0 || last().Fd() < unix.FD_SETSIZE-1 {
		f, err := os.Open(os.DevNull)
		require.NoError(t, err)
		taken = append(taken, f)
	}
	release := func() {
		require.NoError(t, last().Close())
		taken = taken[:len(taken)-1]
	}
	release()
	release()
	require.ErrorIs(t, checkDescriptors(), errDescriptors, "two are left")
	_, err = Open(context.Background(), Config{Name: slave.Name(), LockDir: t.TempDir()})
	require.ErrorIs(t, err, errDescriptors)
	release()
	require.NoError(t, checkDescriptors(), "the library takes three")
	require.NoError(t, checkDescriptors(), "and none stays taken")
}
