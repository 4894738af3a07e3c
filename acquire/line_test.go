package acquire_test

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/acquiretest"
	"arctally/acquire/clock"
	"arctally/acquire/link"
	"arctally/acquire/port"
	"arctally/acquire/series"
)

// lockedSink is a memory that a test may look into while it is filled.
type lockedSink struct {
	mu     sync.Mutex
	memory memory
}

func (s *lockedSink) Source(source series.Source) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.memory.Source(source)
}

func (s *lockedSink) Block(b *series.Block) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.memory.Block(b)
}

func (s *lockedSink) Event(e series.Event) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.memory.Event(e)
}

func (s *lockedSink) Clock(f clock.Fit) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.memory.Clock(f)
}

func (s *lockedSink) has(call string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Contains(s.memory.calls, call)
}

// The whole way from a real serial line: the adapter goes and comes back while
// the box sends on, and the context ends the recording.
func TestRecord_FromAPort(t *testing.T) {
	name := filepath.Join(t.TempDir(), "usb-sensor-box-if00")
	plug := func() *os.File {
		master, slave, err := pty.Open()
		require.NoError(t, err)
		require.NoError(t, os.Symlink(slave.Name(), name))
		require.NoError(t, slave.Close())
		return master
	}
	unplug := func(master *os.File) {
		require.NoError(t, os.Remove(name))
		require.NoError(t, master.Close())
	}
	master := plug()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	p, err := port.Open(ctx, port.Config{Name: name, LockDir: t.TempDir()})
	require.NoError(t, err)

	sink := &lockedSink{}
	type result struct {
		tally acquire.Tally
		err   error
	}
	done := make(chan result, 1)
	go func() {
		tally, err := acquiretest.Record(ctx, p, acquiretest.Config{Link: link.Binary, Sinks: []series.Sink{sink}})
		done <- result{tally, err}
	}()
	wait := func(call string) {
		t.Helper()
		require.Eventually(t, func() bool { return sink.has(call) }, 5*time.Minute, 5*time.Millisecond, call)
	}

	b := newBox(t)
	b.hello(described())
	b.arc(1)
	_, err = master.Write(b.stream)
	require.NoError(t, err)
	wait("arc")
	unplug(master)
	wait("unplugged")
	b.loseArc(4)
	master = plug()
	wait("replugged")
	b.stream = nil
	b.arc(2)
	_, err = master.Write(b.stream)
	require.NoError(t, err)
	wait("break arc")
	cancel()
	end := <-done
	require.NoError(t, end.err)
	require.NoError(t, p.Close())
	unplug(master)
	assert.Equal(t, int64(4), end.tally.Lost)
	assert.Equal(t, int64(3*samples), end.tally.Samples)
	assert.Zero(t, end.tally.Damaged)
}
