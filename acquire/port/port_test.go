//go:build linux

package port

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/acquire/series"
)

// patience is how long a test waits for what must come before it calls it a
// hang: far longer than it takes on the busiest machine.
const patience = time.Minute

// adapter is a pseudo-terminal behind a link, as an adapter is behind its name
// below /dev/serial/by-id.
type adapter struct {
	t      *testing.T
	link   string
	master *os.File
}

// plug makes a new pair and points the link at it.
func (a *adapter) plug() {
	master, slave, err := pty.Open()
	require.NoError(a.t, err)
	require.NoError(a.t, os.Symlink(slave.Name(), a.link+".new"))
	require.NoError(a.t, os.Rename(a.link+".new", a.link))
	require.NoError(a.t, slave.Close())
	a.master = master
}

// unplug takes the node away, and with it the link.
func (a *adapter) unplug() {
	require.NoError(a.t, os.Remove(a.link))
	require.NoError(a.t, a.master.Close())
}

func (a *adapter) send(text string) {
	_, err := a.master.WriteString(text)
	require.NoError(a.t, err)
}

func newAdapter(t *testing.T) *adapter {
	a := &adapter{t: t, link: filepath.Join(t.TempDir(), "usb-sensor-box-if00")}
	a.plug()
	t.Cleanup(func() { _ = a.master.Close() }) // a test may have unplugged it
	return a
}

func config(t *testing.T, name string) Config {
	return Config{Name: name, LockDir: t.TempDir()}
}

func open(t *testing.T, a *adapter) *Port {
	p, err := Open(context.Background(), config(t, a.link))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, p.Close()) })
	return p
}

// reader reads a port in a goroutine of its own and keeps what came.
type reader struct {
	mu     sync.Mutex
	text   string
	events []series.Event
	end    chan error
}

func read(p *Port) *reader {
	r := &reader{end: make(chan error, 1)}
	p.Watch(func(e series.Event) {
		r.mu.Lock()
		defer r.mu.Unlock()
		r.events = append(r.events, e)
	})
	go func() {
		buf := make([]byte, 64)
		for {
			n, err := p.Read(buf)
			r.mu.Lock()
			r.text += string(buf[:n])
			r.mu.Unlock()
			if err != nil {
				r.end <- err
				return
			}
		}
	}()
	return r
}

func (r *reader) got() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.text
}

func (r *reader) kinds() []series.EventKind {
	r.mu.Lock()
	defer r.mu.Unlock()
	var kinds []series.EventKind
	for _, e := range r.events {
		kinds = append(kinds, e.Kind)
	}
	return kinds
}

func eventually(t *testing.T, what string, f func() bool) {
	t.Helper()
	require.Eventually(t, f, patience, 5*time.Millisecond, what)
}

func requireKind(t *testing.T, err error, kind Kind) {
	t.Helper()
	require.Equal(t, kind, portError(t, err).Kind, "%v", err)
}

func portError(t *testing.T, err error) (e *Error) {
	t.Helper()
	require.ErrorAs(t, err, &e)
	return e
}

func TestPort_DataBothWays(t *testing.T) {
	a := newAdapter(t)
	p := open(t, a)
	r := read(p)
	// Bytes that a terminal line in its usual mode would change or swallow.
	a.send("\x00\x03\x04\x11\x13\r\n\x7f\xff")
	eventually(t, "bytes pass unchanged", func() bool { return r.got() == "\x00\x03\x04\x11\x13\r\n\x7f\xff" })

	_, err := p.Write([]byte("to the box\n"))
	require.NoError(t, err)
	buf := make([]byte, 11)
	_, err = io.ReadFull(a.master, buf)
	require.NoError(t, err)
	assert.Equal(t, "to the box\n", string(buf))
}

func TestPort_SurvivesUnplugging(t *testing.T) {
	a := newAdapter(t)
	p := open(t, a)
	r := read(p)
	a.send("one ")
	eventually(t, "data before", func() bool { return r.got() == "one " })

	for _, text := range []string{"two ", "three "} {
		before := len(r.kinds())
		a.unplug()
		eventually(t, "unplugged", func() bool { return len(r.kinds()) == before+1 })
		_, err := p.Write([]byte("x"))
		requireKind(t, err, Unplugged)
		a.plug()
		eventually(t, "replugged", func() bool { return len(r.kinds()) == before+2 })
		a.send(text)
		eventually(t, "data after", func() bool { return len(r.got()) >= len(text) && r.got()[len(r.got())-len(text):] == text })
	}
	assert.Equal(t, "one two three ", r.got())
	assert.Equal(t, []series.EventKind{series.Unplugged, series.Replugged, series.Unplugged, series.Replugged}, r.kinds())
}

// Whatever the reader waits for, Close and the end of the context wake it. The
// sleep is one that nobody would sit out.
func TestPort_EndsWhereverTheReaderWaits(t *testing.T) {
	const forever = 100 * time.Hour
	for wait, prepare := range map[string]func(*adapter, *reader){
		"blocked in Read": func(*adapter, *reader) {},
		"waiting for the node": func(a *adapter, r *reader) {
			a.unplug()
			eventually(t, "unplugged", func() bool { return len(r.kinds()) == 1 })
		},
	} {
		for how, end := range map[string]func(*Port, context.CancelFunc){
			"close":   func(p *Port, _ context.CancelFunc) { require.NoError(t, p.Close()) },
			"context": func(_ *Port, cancel context.CancelFunc) { cancel() },
		} {
			t.Run(how+" "+wait, func(t *testing.T) {
				a := newAdapter(t)
				ctx, cancel := context.WithCancel(context.Background())
				defer cancel()
				p, err := Open(ctx, config(t, a.link))
				require.NoError(t, err)
				p.sleep = func(time.Duration) bool { return p.wait(forever) }
				r := read(p)
				prepare(a, r)
				end(p, cancel)
				assert.ErrorIs(t, <-r.end, io.EOF)
				assert.NoError(t, p.Close(), "closing twice")
			})
		}
	}
}

func TestPort_ContextEndedBeforeOpen(t *testing.T) {
	a := newAdapter(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Open(ctx, config(t, a.link))
	assert.ErrorIs(t, err, context.Canceled)
}

// The descriptor of a closed port is given to the next file that is opened. A
// write that reached the library would land in that file.
func TestPort_WriteAfterCloseTouchesNothing(t *testing.T) {
	a := newAdapter(t)
	p, err := Open(context.Background(), config(t, a.link))
	require.NoError(t, err)
	require.NoError(t, p.Close())

	dir := t.TempDir()
	var victims []string
	for k := range 16 {
		file, err := os.Create(filepath.Join(dir, "victim"+strconv.Itoa(k)))
		require.NoError(t, err)
		defer func() { require.NoError(t, file.Close()) }()
		victims = append(victims, file.Name())
	}
	n, err := p.Write([]byte("poll the box"))
	assert.Zero(t, n)
	requireKind(t, err, Closed)
	for _, name := range victims {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		assert.Empty(t, text)
	}
}

// Nobody reads the other end, so the write blocks when the line is full, and
// closing does not wake it. Close says so; the last call out closes the node.
func TestPort_CloseDuringABlockedWrite(t *testing.T) {
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

// fill sends to a node until its line takes no more, and leaves it open.
func fill(t *testing.T, name string) (fd int) {
	fd, err := unix.Open(name, unix.O_WRONLY|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	require.NoError(t, err)
	for err == nil {
		_, err = unix.Write(fd, make([]byte, 256))
	}
	require.ErrorIs(t, err, unix.EAGAIN)
	return fd
}

// drain reads the other end until either is closed, which a pseudo-terminal
// tells by an error.
func drain(master *os.File) (done chan struct{}) {
	done = make(chan struct{})
	go func() {
		defer close(done)
		buf := make([]byte, 4096)
		for {
			if _, err := master.Read(buf); err != nil {
				return
			}
		}
	}()
	return done
}

// Reads, writes and Close at once: for the race detector, and for descriptors
// that are closed under a call.
func TestPort_CloseAmongReadsAndWrites(t *testing.T) {
	for range 20 {
		a := newAdapter(t)
		p, err := Open(context.Background(), config(t, a.link))
		require.NoError(t, err)
		r := read(p)
		drain(a.master)
		var writers sync.WaitGroup
		for range 3 {
			writers.Go(func() {
				for {
					if _, err := p.Write([]byte("poll")); err != nil {
						requireKind(t, err, Closed)
						return
					}
				}
			})
		}
		a.send("answer")
		eventually(t, "data", func() bool { return r.got() == "answer" })
		require.NoError(t, p.Close())
		writers.Wait()
		assert.ErrorIs(t, <-r.end, io.EOF)
	}
}

func TestPort_TwoReadersPanic(t *testing.T) {
	a := newAdapter(t)
	p := open(t, a)
	r := read(p)
	a.send("x")
	eventually(t, "the first reader is at work again", func() bool { return r.got() == "x" && p.reading.Load() })
	assert.PanicsWithValue(t, "port: Read is called by two goroutines", func() {
		_, err := p.Read(make([]byte, 1))
		require.NoError(t, err)
	})
}

func TestOpen_Busy(t *testing.T) {
	a := newAdapter(t)
	c := config(t, a.link)
	p, err := Open(context.Background(), c)
	require.NoError(t, err)

	// By another name of the same node: the lock is on the device number.
	node, err := filepath.EvalSymlinks(a.link)
	require.NoError(t, err)
	_, err = Open(context.Background(), Config{Name: node, LockDir: c.LockDir})
	requireKind(t, err, Busy)
	e := portError(t, err)
	assert.Equal(t, os.Getpid(), e.Holder)
	assert.Contains(t, e.Error(), "held by process "+strconv.Itoa(os.Getpid()))
	assert.NotEmpty(t, e.Hint())

	require.NoError(t, p.Close())
	again, err := Open(context.Background(), c)
	require.NoError(t, err, "free after Close")
	require.NoError(t, again.Close())
}

func TestOpen_Errors(t *testing.T) {
	dir := t.TempDir()
	plain := filepath.Join(dir, "notes.txt")
	require.NoError(t, os.WriteFile(plain, []byte("no port"), 0o600))
	for _, c := range []struct {
		id, name string
		kind     Kind
	}{
		{"missing", filepath.Join(dir, "ttyUSB0"), Missing},
		{"plain file", plain, NotAPort},
		{"folder", dir, NotAPort},
		{"character device without a line", "/dev/null", NotAPort},
	} {
		t.Run(c.id, func(t *testing.T) {
			_, err := Open(context.Background(), config(t, c.name))
			requireKind(t, err, c.kind)
			e := portError(t, err)
			assert.Equal(t, c.name, e.Port)
			assert.Contains(t, e.Error(), c.name)
			assert.NotEmpty(t, e.Hint())
		})
	}
	text, err := os.ReadFile(plain)
	require.NoError(t, err)
	assert.Equal(t, "no port", string(text))
}

func TestOpen_BaudRateBelowZero(t *testing.T) {
	a := newAdapter(t)
	c := config(t, a.link)
	c.Baud = -1
	_, err := Open(context.Background(), c)
	requireKind(t, err, Other)
}

// A node that is awaited may come later; one that is no port is an error all the same.
func TestPort_AwaitsANodeThatIsMissing(t *testing.T) {
	a := &adapter{t: t, link: filepath.Join(t.TempDir(), "usb-sensor-box-if00")}
	c := config(t, a.link)
	_, err := Open(context.Background(), c)
	requireKind(t, err, Missing)
	c.Awaited = true
	p, err := Open(context.Background(), c)
	require.NoError(t, err)
	requireKind(t, p.Missing(), Missing)
	r := read(p)
	eventually(t, "told", func() bool { return len(r.kinds()) == 1 })
	a.plug()
	eventually(t, "there", func() bool { return len(r.kinds()) == 2 })
	a.send("one")
	eventually(t, "data", func() bool { return r.got() == "one" })
	assert.Equal(t, []series.EventKind{series.Unplugged, series.Replugged}, r.kinds())
	assert.Contains(t, r.events[0].Text, "missing")
	require.NoError(t, p.Close())
	a.unplug()

	ctx, stop := context.WithCancel(context.Background())
	p, err = Open(ctx, c)
	require.NoError(t, err)
	r = read(p)
	stop()
	require.ErrorIs(t, <-r.end, io.EOF)
	require.NoError(t, p.Close())
	require.NoError(t, os.WriteFile(a.link, nil, 0o600))
	_, err = Open(context.Background(), c)
	requireKind(t, err, NotAPort)
}
