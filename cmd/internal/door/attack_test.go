package door

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/page"
)

// streaming are pages whose stream of events takes no more than so many, as the hub does.
type streaming struct {
	mutex         sync.Mutex
	held, entered int
	most          int
	refused       int
}

// ServeHTTP implements http.Handler.
func (s *streaming) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	s.mutex.Lock()
	s.held++
	s.entered++
	full := s.held > s.most
	if full {
		s.refused++
	}
	s.mutex.Unlock()
	defer func() {
		s.mutex.Lock()
		defer s.mutex.Unlock()
		s.held--
	}()
	if full {
		w.WriteHeader(http.StatusServiceUnavailable)
		return
	}
	<-r.Context().Done()
}

// open has streams held until the door ends them, or the test.
func (h *house) open(s *streaming, streams int, from string, headers ...string) {
	h.t.Helper()
	s.mutex.Lock()
	want := s.entered + streams
	s.mutex.Unlock()
	for range streams {
		go h.ask("GET", page.StreamPath, from, headers...)
	}
	require.Eventually(h.t, func() bool {
		s.mutex.Lock()
		defer s.mutex.Unlock()
		return s.entered == want
	}, time.Minute, time.Millisecond)
}

// hubStreams is how many streams the pages take; with 64 idle ones held by a single client,
// the next page was locked out.
const hubStreams = 64

func TestAttack_IdleStreamsLockNobodyOut(t *testing.T) {
	h := newHouse(t, nil)
	pages := &streaming{most: hubStreams}
	h.inner = pages
	_, greedy := h.pair("Greedy", page.Look)
	_, modest := h.pair("Modest", page.Look)
	shares := h.door.Shares
	held := func(client string) (n int) {
		h.door.mutex.Lock()
		defer h.door.mutex.Unlock()
		for _, s := range h.door.streams {
			if client == "" || s.client == client {
				n++
			}
		}
		return n
	}
	for range 3 * hubStreams { // the oldest of its own go
		h.open(pages, 1, network, "Cookie", greedy)
	}
	assert.Equal(t, shares.Device.Streams, held(""))
	h.open(pages, 2*hubStreams, "here")
	assert.Equal(t, shares.Here.Streams, held("here"))
	// All are taken now: whoever comes next still gets some, from who holds most.
	h.open(pages, 5, network, "Cookie", modest)
	assert.Equal(t, shares.Streams, held(""))
	assert.Equal(t, shares.Here.Streams-5, held("here"))
	assert.Zero(t, pages.refused, "no page was locked out")
	h.door.mutex.Lock()
	defer h.door.mutex.Unlock()
	for _, s := range h.door.streams {
		s.end()
	}
}

func TestAttack_NoClientAsksForMoreThanItsShare(t *testing.T) {
	shares := Usual
	shares.Clients = 8
	h := newHouse(t, &shares)
	_, cookie := h.pair("Tablet 1", page.Look)
	for k := range int(shares.Stranger.Burst) {
		require.Equal(t, 200, h.ask("GET", "/", network).Code, k)
	}
	w := h.ask("GET", "/", network)
	require.Equal(t, http.StatusTooManyRequests, w.Code)
	assert.NotEmpty(t, w.Header().Get("Retry-After"))
	assert.Equal(t, 200, h.ask("GET", "/", "192.0.2.78:1").Code, "another one is heard")
	assert.Equal(t, 200, h.ask("GET", "/", network, "Cookie", cookie).Code, "so is a device behind the same address")
	h.later(time.Second)
	assert.Equal(t, 200, h.ask("GET", "/", network).Code)
	for k := range 500 {
		assert.Equal(t, 200, h.ask("GET", "/", "here").Code, "who sits at the machine is not counted: %d", k)
	}
	for k := range 100 {
		h.ask("GET", "/", fmt.Sprintf("[2001:db8:%x::1]:1", k))
	}
	assert.LessOrEqual(t, len(h.door.clients), 8, "who has many addresses fills no memory")
	assert.Equal(t, addressOf("[2001:db8::1]:1"), addressOf("[2001:db8::ffff]:2"), "a network of IPv6 is one client")
	assert.Equal(t, addressOf("192.0.2.1:1"), addressOf("[::ffff:192.0.2.1]:2"))
	h.later(-time.Hour) // a clock that is set back gives nobody anything
	assert.NotPanics(t, func() { h.ask("GET", "/", network) })
}

func TestAttack_NoClientHasMoreUnderWayThanItsShare(t *testing.T) {
	shares := Usual
	shares.Stranger.AtOnce = 2
	h := newHouse(t, &shares)
	begun, end := make(chan struct{}), make(chan struct{})
	h.inner = http.HandlerFunc(func(http.ResponseWriter, *http.Request) {
		begun <- struct{}{}
		<-end
	})
	var all sync.WaitGroup
	for range 2 {
		all.Go(func() { h.ask("GET", "/", network) })
		<-begun
	}
	assert.Equal(t, http.StatusTooManyRequests, h.ask("GET", "/", network).Code)
	close(end)
	all.Wait()
	go func() { <-begun }()
	assert.Equal(t, 200, h.ask("GET", "/", network).Code)
}

func TestAttack_NoClientSendsMoreThanItsShare(t *testing.T) {
	h := newHouse(t, nil)
	_, cookie := h.pair("Tablet 1", page.Inspect)
	send := func(size int64, cookie string) int {
		r := httptest.NewRequestWithContext(t.Context(), "POST", "https://machine.local:8470/api/records/x/photographs", io.LimitReader(zeros{}, max(size, 0)))
		r.ContentLength, r.Host, r.RemoteAddr = size, "machine.local:8470", network
		r.Header.Set("Origin", origin)
		r.Header.Set("Cookie", cookie)
		w := httptest.NewRecorder()
		h.door.Handler(h.inner).ServeHTTP(w, r)
		return w.Code
	}
	const photograph = 16 << 20
	for range 4 {
		require.Equal(t, 200, send(photograph, cookie))
	}
	assert.Equal(t, http.StatusTooManyRequests, send(photograph, cookie))
	h.later(time.Minute)
	assert.Equal(t, 200, send(photograph, cookie))
	assert.Equal(t, http.StatusRequestEntityTooLarge, send(1<<40, cookie))
	assert.Equal(t, http.StatusLengthRequired, send(-1, cookie), "chunks without an end")
	assert.Equal(t, http.StatusRequestEntityTooLarge, send(photograph, ""), "a stranger sends a code, and no more")
	for _, method := range []string{"GET", "HEAD", "DELETE"} {
		r := httptest.NewRequestWithContext(t.Context(), method, "https://machine.local:8470/", strings.NewReader("x"))
		r.Host, r.RemoteAddr = "machine.local:8470", network
		r.Header.Set("Origin", origin)
		w := httptest.NewRecorder()
		h.door.Handler(h.inner).ServeHTTP(w, r)
		assert.Equal(t, http.StatusBadRequest, w.Code, method)
		assert.Equal(t, "close", w.Header().Get("Connection"))
	}
}

type zeros struct{}

// Read implements io.Reader.
func (zeros) Read(p []byte) (int, error) { return len(p), nil }

// A client that sends the head of a request and then a letter now and then is let go.
func TestAttack_ASlowBodyHoldsNothing(t *testing.T) {
	shares := Usual
	shares.Sending = 50 * time.Millisecond
	h := newHouse(t, &shares)
	pages := &http.Server{Handler: h.inner, ReadHeaderTimeout: 50 * time.Millisecond}
	front := NewFront(pages, h.door, nil, nil)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	served := make(chan error, 1)
	go func() { served <- front.Serve(l) }()
	for _, begun := range []string{
		"POST / HTTP/1.1\r\nHost: localhost\r\nContent-Length: 100000\r\n\r\nx", // no operation reads it, and nobody sends the rest
		"POST / HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: chunked\r\n\r\n1\r\nx",
		"GET / HTTP/1.1\r\nHost: localh",
	} {
		c, err := net.Dial("tcp", l.Addr().String())
		require.NoError(t, err)
		_, err = c.Write([]byte(begun))
		require.NoError(t, err)
		require.NoError(t, c.SetReadDeadline(time.Now().Add(time.Minute)))
		_, err = io.ReadAll(c)
		var late net.Error
		assert.False(t, errors.As(err, &late) && late.Timeout(), "it is still held: %s", begun)
		require.NoError(t, c.Close())
	}
	require.NoError(t, front.Close())
	require.ErrorIs(t, <-served, http.ErrServerClosed)
}

// fakeAddress lets a connection of the test come from the network.
type fakeConn struct {
	net.Conn
	from, to net.Addr
}

// RemoteAddr implements net.Conn.
func (c fakeConn) RemoteAddr() net.Addr { return c.from }

// LocalAddr implements net.Conn.
func (c fakeConn) LocalAddr() net.Addr { return c.to }

type fakeListener struct {
	net.Listener
	next chan net.Conn
}

// Accept implements net.Listener.
func (l fakeListener) Accept() (net.Conn, error) {
	if c, ok := <-l.next; ok {
		return c, nil
	}
	return nil, net.ErrClosed
}

func tcp(address string) net.Addr {
	a, _ := net.ResolveTCPAddr("tcp", address)
	return a
}

// knock comes to a split from an address, says something and wants to know where that ends up.
func knock(s *split, next chan net.Conn, from, to, says string) (near net.Conn, where string) {
	near, far := net.Pipe()
	next <- fakeConn{far, tcp(from), tcp(to)}
	go func() { _, _ = near.Write([]byte(says)) }()
	select {
	case <-s.secure.waiting:
		return near, "secure"
	case <-s.here.waiting:
		return near, "here"
	case <-s.plain.waiting:
		return near, "plain"
	case <-time.After(time.Minute):
		return near, "nowhere"
	}
}

func newFakeSplit(t *testing.T) (*split, chan net.Conn) {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	require.NoError(t, l.Close())
	next := make(chan net.Conn)
	s := newSplit(fakeListener{l, next})
	ended := make(chan error, 1)
	go func() { ended <- s.run() }()
	t.Cleanup(func() {
		close(next)
		require.ErrorIs(t, <-ended, net.ErrClosed)
	})
	return s, next
}

// Only who sits at the machine is served without TLS; both ends of his connection are loopback.
func TestSplit_WhoComesFromTheNetworkIsNotServedPlainly(t *testing.T) {
	s, next := newFakeSplit(t)
	for _, one := range []struct{ from, to, says, want string }{
		{"127.0.0.1:1", "127.0.0.1:8470", "GET / HTTP/1.1\r\n", "here"},
		{"[::1]:1", "[::1]:8470", "G", "here"},
		{"127.0.0.1:1", "127.0.0.1:8470", "\x16\x03\x01", "secure"},
		{"192.0.2.77:1", "192.0.2.20:8470", "\x16\x03\x01", "secure"},
		{"192.0.2.77:1", "192.0.2.20:8470", "GET / HTTP/1.1\r\n", "plain"},
		{"192.0.2.20:1", "192.0.2.20:8470", "GET / HTTP/1.1\r\n", "plain"}, // this machine by its address on the network
		{"192.0.2.77:1", "127.0.0.1:8470", "GET / HTTP/1.1\r\n", "plain"},  // a packet that pretends
		{"127.0.0.1:1", "192.0.2.20:8470", "GET / HTTP/1.1\r\n", "plain"},
		{"192.0.2.77:1", "192.0.2.20:8470", "PRI * HTTP/2.0\r\n", "plain"},
		{"192.0.2.77:1", "192.0.2.20:8470", "\x80\x2e\x01", "plain"}, // SSL 2
	} {
		near, where := knock(s, next, one.from, one.to, one.says)
		assert.Equal(t, one.want, where, "%+v", one)
		require.NoError(t, near.Close())
	}
}

func TestSplit_NoAddressHoldsAllConnections(t *testing.T) {
	s, next := newFakeSplit(t)
	var open []net.Conn
	for range mostOfOne {
		near, far := net.Pipe() // and says nothing
		open = append(open, near)
		next <- fakeConn{far, tcp("192.0.2.77:1"), tcp("192.0.2.20:8470")}
	}
	near, far := net.Pipe()
	next <- fakeConn{far, tcp("192.0.2.77:1"), tcp("192.0.2.20:8470")}
	_, err := bufio.NewReader(near).ReadByte()
	require.ErrorIs(t, err, io.EOF, "one too many is let go")
	other, where := knock(s, next, "192.0.2.78:1", "192.0.2.20:8470", "\x16")
	assert.Equal(t, "secure", where)
	at, where := knock(s, next, "127.0.0.1:1", "127.0.0.1:8470", "G")
	assert.Equal(t, "here", where)
	for _, c := range append(open, other, at) {
		require.NoError(t, c.Close())
	}
	require.Eventually(t, func() bool {
		s.mutex.Lock()
		defer s.mutex.Unlock()
		return s.of["192.0.2.77"] == 0
	}, time.Minute, time.Millisecond, "their places are free again")
}

// Without TLS the network gets words and the public half of the authority, whatever it asks.
func TestPlain_DoesNothing(t *testing.T) {
	for _, authority := range [][]byte{[]byte("der"), nil} {
		plain := Plain(authority)
		for _, request := range []string{"GET /", "GET /api/house", "POST /api/door", "DELETE /api/recording", "POST " + AuthorityPath, "GET /%22%3E%3Cscript%3E", "OPTIONS /"} {
			method, path, _ := strings.Cut(request, " ")
			r := httptest.NewRequestWithContext(t.Context(), method, "http://192.0.2.20"+path, nil)
			r.Host = "<script>"
			r.Header.Set("Cookie", cookieName+"=x")
			w := httptest.NewRecorder()
			plain.ServeHTTP(w, r)
			assert.Equal(t, http.StatusUpgradeRequired, w.Code, request)
			assert.Contains(t, said(w), "Only encrypted")
			assert.NotContains(t, said(w), "<script")
			assert.Empty(t, w.Header().Get("Location"), "nobody is sent on")
			assert.Empty(t, w.Header().Get("Set-Cookie"))
			assert.NotContains(t, w.Header().Get("Content-Security-Policy"), "unsafe")
			assert.Equal(t, authority != nil, strings.Contains(said(w), AuthorityPath))
		}
		w := httptest.NewRecorder()
		plain.ServeHTTP(w, httptest.NewRequestWithContext(t.Context(), "GET", "http://192.0.2.20"+AuthorityPath, nil))
		if authority == nil {
			assert.Equal(t, http.StatusUpgradeRequired, w.Code)
			continue
		}
		assert.Equal(t, "der", said(w))
		assert.Equal(t, "application/x-x509-ca-cert", w.Header().Get("Content-Type"))
	}
}

func TestStrict_OnlyWithACertificateOfOnesOwn(t *testing.T) {
	h := newHouse(t, nil)
	assert.Empty(t, h.ask("GET", "/", network).Header().Get("Strict-Transport-Security"), "it would keep a tablet from fetching the authority anew")
	h.door.Strict = true
	assert.NotEmpty(t, h.ask("GET", "/", network).Header().Get("Strict-Transport-Security"))
	assert.Empty(t, h.ask("GET", "/", "here").Header().Get("Strict-Transport-Security"))
}

// What devices do, and are refused, is told at the machine; nobody writes the terminal full.
func TestActs_AreToldAtTheMachine(t *testing.T) {
	h := newHouse(t, nil)
	_, cookie := h.pair("Tablet 1", page.Look)
	h.inner = http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusForbidden) })
	h.ask("DELETE", "/api/recording%1b[2J", network, "Cookie", cookie)
	last := h.told[len(h.told)-1]
	assert.Equal(t, `Tablet 1 (look) was refused (Forbidden): DELETE "/api/recording\x1b[2J"`, last)
	for range 300 {
		h.ask("DELETE", "/api/recording", network, "Cookie", cookie)
	}
	assert.Less(t, len(h.told), actLines+10)
	for _, line := range h.told {
		assert.NotContains(t, line, cookie, "no token is told")
	}
}
