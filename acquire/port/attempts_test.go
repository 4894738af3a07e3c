//go:build linux

package port

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/acquire/series"
)

// errFails is what a node does that cannot be opened.
var errFails = errors.New("it opens, and fails")

// world is what stands behind a name, on a clock of its own that a sleep moves.
type world struct {
	now   time.Duration
	until time.Duration                             // the port is closed then
	node  func(now time.Duration) (n uint64)        // 0 is that nothing is there
	works func(now time.Duration, node uint64) bool // it can be opened

	looks int
	opens []time.Duration
}

// reopened has a port come back in the world, and returns when it did.
func (w *world) reopened(p *Port) (at time.Duration, ok bool) {
	p.closing = make(chan struct{})
	p.watch = func(series.Event) {}
	p.sleep = func(d time.Duration) bool {
		w.now += d
		return w.now < w.until
	}
	p.look = func(string) (nodeID, error) {
		w.looks++
		if n := w.node(w.now); n != 0 {
			return nodeID{device: n}, nil
		}
		return nodeID{}, fs.ErrNotExist
	}
	p.open = func(string, int, string) (*handle, error) {
		w.opens = append(w.opens, w.now)
		if !w.works(w.now, w.node(w.now)) {
			return nil, errFails
		}
		return &handle{closed: make(chan struct{})}, nil
	}
	h := p.reopen()
	return w.now, h != nil
}

func never(time.Duration, uint64) bool  { return false }
func always(time.Duration, uint64) bool { return true }

// While a port is away nothing is opened, and the processor has next to nothing to
// do: four looks a second, however long it takes.
func TestPort_AwayIsIdle(t *testing.T) {
	w := world{until: time.Hour, node: func(time.Duration) uint64 { return 0 }, works: never}
	_, back := w.reopened(&Port{})
	assert.False(t, back)
	assert.Empty(t, w.opens)
	assert.Equal(t, int(time.Hour/lookEvery)-1, w.looks)
}

// However long it was away, and however often it came back only to fail, a node
// that is new is opened within a look: it took more than five seconds where each
// pause was twice the one before it until bytes had come.
func TestPort_NewNodeDoesNotPayForTheOneBefore(t *testing.T) {
	const away, each = time.Hour, 1100 * time.Millisecond
	w := world{until: 2 * time.Hour}
	w.node = func(now time.Duration) uint64 {
		if now < away {
			return 0
		}
		return 1 + uint64((now-away)/each) // another each time, without a moment of none
	}
	const good = 7
	w.works = func(_ time.Duration, node uint64) bool { return node == good }
	at, back := w.reopened(&Port{})
	require.True(t, back)
	assert.Less(t, at-(away+(good-1)*each), lookEvery+time.Millisecond)
}

// A node that goes and comes back under its old number has not failed yet.
func TestPort_SameNodeAgain(t *testing.T) {
	w := world{until: time.Hour, node: func(now time.Duration) uint64 {
		if now > 10*time.Second && now < 10*time.Second+2*lookEvery {
			return 0
		}
		return 5
	}}
	w.works = func(now time.Duration, _ uint64) bool { return now > 10*time.Second }
	at, back := w.reopened(&Port{})
	require.True(t, back)
	assert.Equal(t, 10*time.Second+2*lookEvery, at)
}

// A node that fails is not hammered, and not forgotten: an attempt a second at
// last, which is within two seconds of when it works.
func TestPort_FailingNodeIsNotHammered(t *testing.T) {
	w := world{until: time.Minute, node: func(time.Duration) uint64 { return 5 }, works: never}
	_, back := w.reopened(&Port{})
	assert.False(t, back)
	require.Greater(t, len(w.opens), 50)
	pauses := make([]time.Duration, 0, 5)
	for k := range 5 {
		pauses = append(pauses, w.opens[k+1]-w.opens[k])
	}
	assert.Equal(t, []time.Duration{lookEvery, 2 * lookEvery, time.Second, time.Second, time.Second}, pauses)
}

// It opens and fails at once, again and again: that is no success.
func TestPort_FlappingNodeIsNotHammered(t *testing.T) {
	p := &Port{}
	w := world{until: time.Minute, node: func(time.Duration) uint64 { return 5 }, works: always}
	for range 5 {
		_, back := w.reopened(p)
		require.True(t, back)
		p.handle = nil // no bytes came
	}
	assert.Equal(t, []time.Duration{1, 2, 4, 8, 12}, []time.Duration{
		w.opens[0] / lookEvery, w.opens[1] / lookEvery, w.opens[2] / lookEvery, w.opens[3] / lookEvery, w.opens[4] / lookEvery,
	})
	p.attempts.forget() // bytes came
	before := w.now
	at, _ := w.reopened(p)
	assert.Equal(t, lookEvery, at-before)
}

// Bytes that come are what forgives a node.
func TestPort_BytesForgive(t *testing.T) {
	a := newAdapter(t)
	p := open(t, a)
	p.attempts = attempts{tried: true, wait: longestWait, left: longestWait}
	a.send("x")
	_, err := p.Read(make([]byte, 1))
	require.NoError(t, err)
	assert.Equal(t, attempts{}, p.attempts)
}

// A node is another when it has been made anew, or handed to another group, or when
// the link means another; being read and written does not make it another.
func TestNodeBehind(t *testing.T) {
	a := newAdapter(t)
	first, err := nodeBehind(a.link)
	require.NoError(t, err)
	p := open(t, a)
	r := read(p)
	a.send("x")
	eventually(t, "data", func() bool { return r.got() == "x" })
	_, err = p.Write([]byte("y"))
	require.NoError(t, err)
	used, err := nodeBehind(a.link)
	require.NoError(t, err)
	assert.Equal(t, first, used)

	node, err := filepath.EvalSymlinks(a.link)
	require.NoError(t, err)
	require.NoError(t, unix.Chmod(node, 0o640))
	handed, err := nodeBehind(a.link)
	require.NoError(t, err)
	assert.NotEqual(t, first, handed)

	old := a.master
	defer func() { _ = old.Close() }() // its node is gone with the test
	a.plug()
	other, err := nodeBehind(a.link)
	require.NoError(t, err)
	assert.NotEqual(t, handed.device, other.device)
	require.NoError(t, os.Remove(a.link))
	_, err = nodeBehind(a.link)
	require.ErrorIs(t, err, fs.ErrNotExist)
}

// BenchmarkAway is what a look at a port that is away costs; there are four a second.
func BenchmarkAway(b *testing.B) {
	name := filepath.Join(b.TempDir(), "usb-sensor-box-if00")
	for b.Loop() {
		if _, err := nodeBehind(name); err == nil {
			b.Fatal("nothing is there")
		}
	}
}
