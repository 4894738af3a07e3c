package port

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// Nobody reads the other end, so the write blocks when the line is full. Close ends it,
// and the node is free at once.
func TestPort_CloseEndsABlockedWrite(t *testing.T) {
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
	require.NoError(t, p.Close())
	requireKind(t, <-written, Closed)
	again, err := Open(context.Background(), c)
	require.NoError(t, err)
	require.NoError(t, again.Close())
}

// An adapter that is pulled out ends a write that its line did not take.
func TestPort_UnpluggingEndsABlockedWrite(t *testing.T) {
	a := newAdapter(t)
	filled := fill(t, a.link)
	p := open(t, a)
	require.NoError(t, unix.Close(filled))
	r := read(p)
	written := make(chan error, 1)
	go func() {
		_, err := p.Write(make([]byte, 1<<20))
		written <- err
	}()
	a.unplug()
	require.Error(t, <-written)
	eventually(t, "unplugged", func() bool { return len(r.kinds()) == 1 })
}

// A write that waits for its line goes on when there is room again, and loses nothing.
func TestPort_WriteWaitsForTheLine(t *testing.T) {
	a := newAdapter(t)
	p := open(t, a)
	sent := make([]byte, 1<<17)
	for k := range sent {
		sent[k] = byte(k * 7 >> 3)
	}
	written := make(chan error, 1)
	go func() {
		_, err := p.Write(sent)
		written <- err
	}()
	got := make([]byte, len(sent))
	_, err := io.ReadFull(a.master, got)
	require.NoError(t, err)
	require.NoError(t, <-written)
	assert.Equal(t, sent, got)
}

// While a port is open nobody else but root may open its node; as long as it is, and no
// longer.
func TestPort_HasTheLineAlone(t *testing.T) {
	a := newAdapter(t)
	exclusive := func() bool {
		fd, err := unix.Open(a.link, unix.O_RDWR|unix.O_NOCTTY, 0)
		if errors.Is(err, unix.EBUSY) {
			return true
		}
		require.NoError(t, err)
		defer func() { require.NoError(t, unix.Close(fd)) }()
		alone, err := unix.IoctlGetInt(fd, unix.TIOCGEXCL)
		require.NoError(t, err)
		return alone != 0
	}
	require.False(t, exclusive())
	p, err := Open(context.Background(), config(t, a.link))
	require.NoError(t, err)
	assert.True(t, exclusive())
	require.NoError(t, p.Close())
	assert.False(t, exclusive())
}

// A program that has many files open reads its port all the same: the library's own wait
// panics beyond 1023.
func TestPort_AmongManyOpenFiles(t *testing.T) {
	a := newAdapter(t)
	var limit unix.Rlimit
	require.NoError(t, unix.Getrlimit(unix.RLIMIT_NOFILE, &limit))
	if limit.Cur < unix.FD_SETSIZE+64 {
		t.Skipf("this process may open %d files only", limit.Cur)
	}
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
	p := open(t, a)
	r := read(p)
	a.send("one")
	eventually(t, "data", func() bool { return r.got() == "one" })
	a.unplug()
	eventually(t, "unplugged", func() bool { return len(r.kinds()) == 1 })
	a.plug()
	eventually(t, "replugged", func() bool { return len(r.kinds()) == 2 })
	a.send("two")
	eventually(t, "data", func() bool { return r.got() == "onetwo" })
}

// What nothing can wait for is no line.
func TestOpenLine_NoLine(t *testing.T) {
	for _, name := range []string{os.DevNull, filepath.Join(t.TempDir(), "none")} {
		_, err := openLine(name, modeOf(9600, false))
		require.Error(t, err, name)
	}
}

// The system hangs a line up when its adapter is pulled out: what waits reads nothing, at
// once, as at the end of a file. A pseudo-terminal does it where root asks for it.
func TestPort_HungUp(t *testing.T) {
	a := newAdapter(t)
	p := open(t, a)
	r := read(p)
	a.send("one ")
	eventually(t, "data before", func() bool { return r.got() == "one " })
	fd, err := unix.Open(a.link, unix.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err == nil {
		err = unix.IoctlSetInt(fd, unix.TIOCVHANGUP, 0)
		require.NoError(t, unix.Close(fd))
	}
	if err != nil {
		t.Skipf("no line is hung up here: %v", err)
	}
	eventually(t, "back", func() bool { return len(r.kinds()) == 2 })
	assert.Equal(t, "read port "+a.link+": unplugged", r.events[0].Text)
	a.send("two")
	eventually(t, "data after", func() bool { return r.got() == "one two" })
}
