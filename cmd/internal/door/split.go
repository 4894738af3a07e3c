package door

import (
	"bytes"
	"errors"
	"io"
	"net"
	"sync"
	"time"
)

// How many connections are open, and how long one may take to say what it wants. Ours, no source.
const (
	mostConnections = 512
	mostOfOne       = 96 // from one address of the network
	firstByteTime   = 10 * time.Second
)

// handshake is the first byte of a connection that speaks TLS.
const handshake = 0x16

// split tells connections apart by who comes and what he speaks: over TLS, plainly at the
// machine itself, or plainly from the network.
type split struct {
	inner               net.Listener
	secure, here, plain *queue
	mutex               sync.Mutex
	open                int
	of                  map[string]int
}

func newSplit(inner net.Listener) *split {
	s := &split{inner: inner, of: map[string]int{}}
	s.secure, s.here, s.plain = newQueue(inner.Addr()), newQueue(inner.Addr()), newQueue(inner.Addr())
	return s
}

// run takes connections until the listener ends.
func (s *split) run() error {
	for {
		c, err := s.inner.Accept()
		if err != nil {
			var brief net.Error
			if errors.As(err, &brief) && !errors.Is(err, net.ErrClosed) {
				time.Sleep(100 * time.Millisecond) // as when there are no descriptors left
				continue
			}
			return errors.Join(err, s.secure.Close(), s.here.Close(), s.plain.Close())
		}
		counted, ok := s.count(c)
		if !ok {
			_ = c.Close() // there is no room to say why
			continue
		}
		go s.place(counted)
	}
}

// count lets nobody hold all the connections that there are.
func (s *split) count(c net.Conn) (net.Conn, bool) {
	name := addressOf(c.RemoteAddr().String())
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if !loopback(c) && (s.open >= mostConnections || s.of[name] >= mostOfOne) {
		return nil, false
	}
	s.open++
	s.of[name]++
	return &counted{Conn: c, left: func() {
		s.mutex.Lock()
		defer s.mutex.Unlock()
		s.open--
		if s.of[name]--; s.of[name] == 0 {
			delete(s.of, name)
		}
	}}, true
}

// place waits for the first byte, and hands the connection to whom it is for.
func (s *split) place(c net.Conn) {
	first := make([]byte, 1)
	_ = c.SetReadDeadline(time.Now().Add(firstByteTime))
	_, err := io.ReadFull(c, first)
	_ = c.SetReadDeadline(time.Time{})
	if err != nil {
		_ = c.Close()
		return
	}
	whole := &begun{Conn: c, reader: io.MultiReader(bytes.NewReader(first), c)}
	switch {
	case first[0] == handshake:
		s.secure.put(whole)
	case loopback(c):
		s.here.put(whole)
	default:
		s.plain.put(whole)
	}
}

// loopback tells whether both ends of a connection are this machine.
func loopback(c net.Conn) bool {
	from, ok := c.RemoteAddr().(*net.TCPAddr)
	to, okToo := c.LocalAddr().(*net.TCPAddr)
	return ok && okToo && from.IP.IsLoopback() && to.IP.IsLoopback()
}

// counted gives its place back when it is closed.
type counted struct {
	net.Conn
	once sync.Once
	left func()
}

// Close implements net.Conn.
func (c *counted) Close() error {
	c.once.Do(c.left)
	return c.Conn.Close()
}

// begun is a connection of which the first byte was read.
type begun struct {
	net.Conn
	reader io.Reader
}

// Read implements net.Conn.
func (b *begun) Read(p []byte) (int, error) { return b.reader.Read(p) }

// queue is a listener of connections that somebody else took.
type queue struct {
	address net.Addr
	waiting chan net.Conn
	ended   chan struct{}
	once    sync.Once
}

func newQueue(address net.Addr) *queue {
	return &queue{address: address, waiting: make(chan net.Conn), ended: make(chan struct{})}
}

func (q *queue) put(c net.Conn) {
	select {
	case q.waiting <- c:
	case <-q.ended:
		_ = c.Close()
	}
}

// Accept implements net.Listener.
func (q *queue) Accept() (net.Conn, error) {
	select {
	case c := <-q.waiting:
		return c, nil
	case <-q.ended:
		return nil, net.ErrClosed
	}
}

// Close implements net.Listener.
func (q *queue) Close() error {
	q.once.Do(func() { close(q.ended) })
	return nil
}

// Addr implements net.Listener.
func (q *queue) Addr() net.Addr { return q.address }
