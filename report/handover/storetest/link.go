package storetest

import (
	"io"
	"math/rand/v2"
	"net"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Link is the way of one program to a store, over which connections break off in the midst of what they
// carry, stand still, or do not come about: which ones, the seed says.
type Link struct {
	Address string // host:port, in place of that of the store
	to      string
	held    sync.Mutex
	random  *rand.Rand
	down    bool
	open    map[net.Conn]bool
	did     Trouble
}

// Trouble is how many connections had which fate.
type Trouble struct{ Whole, BrokenOff, StoodStill, Refused int }

// Add counts those of another link too.
func (a *Trouble) Add(b Trouble) {
	a.Whole, a.BrokenOff, a.StoodStill, a.Refused = a.Whole+b.Whole, a.BrokenOff+b.BrokenOff, a.StoodStill+b.StoodStill, a.Refused+b.Refused
}

// fate is what becomes of a connection: after so many bytes in either direction it stands still, and then
// goes on or breaks off.
type fate struct {
	after  int64
	still  time.Duration
	broken bool
}

// How long a connection stands still at most, and how many bytes it carries before something becomes of it.
const (
	longestStill = 2 * time.Second
	mostBytes    = 1 << 20
)

// NewLink starts a link to an address, which ends with the test.
func NewLink(t testing.TB, to string, seed uint64) *Link {
	t.Helper()
	listener, err := new(net.ListenConfig).Listen(t.Context(), "tcp", "127.0.0.1:0")
	require.NoError(t, err)
	l := &Link{Address: listener.Addr().String(), to: to, random: rand.New(rand.NewPCG(seed, 1)), open: map[net.Conn]bool{}}
	var carrying sync.WaitGroup
	carrying.Go(func() {
		for {
			near, err := listener.Accept()
			if err != nil {
				return
			}
			carrying.Go(func() { l.carry(near) })
		}
	})
	t.Cleanup(func() {
		_ = listener.Close()
		l.Cut()
		carrying.Wait()
	})
	return l
}

// Cut breaks all connections off, and lets none come about until Mend.
func (l *Link) Cut() {
	l.held.Lock()
	defer l.held.Unlock()
	l.down = true
	for one := range l.open {
		breakOff(one)
	}
}

// Mend lets connections come about again.
func (l *Link) Mend() {
	l.held.Lock()
	defer l.held.Unlock()
	l.down = false
}

// Did counts what became of the connections so far.
func (l *Link) Did() Trouble {
	l.held.Lock()
	defer l.held.Unlock()
	return l.did
}

// breakOff ends a connection so that the other end hears of it at once, and loses what is under way.
func breakOff(one net.Conn) {
	if tcp, ok := one.(*net.TCPConn); ok {
		_ = tcp.SetLinger(0) // it may have ended
	}
	_ = one.Close()
}

// take notes a connection, and draws its fate; false where none may come about.
func (l *Link) take(near net.Conn) (f fate, ok bool) {
	l.held.Lock()
	defer l.held.Unlock()
	draw := l.random.IntN(100)
	f.after = l.random.Int64N(mostBytes)
	still := time.Duration(l.random.Int64N(int64(longestStill)))
	switch {
	case l.down || draw < 10:
		l.did.Refused++
		return f, false
	case draw < 40:
		f.broken = true
		l.did.BrokenOff++
	case draw < 50:
		f.still, f.broken = still, draw < 45
		l.did.StoodStill++
	default:
		f.after = -1
		l.did.Whole++
	}
	l.open[near] = true
	return f, true
}

func (l *Link) carry(near net.Conn) {
	f, ok := l.take(near)
	if !ok {
		breakOff(near)
		return
	}
	defer func() {
		l.held.Lock()
		delete(l.open, near)
		l.held.Unlock()
	}()
	far, err := net.Dial("tcp", l.to)
	if err != nil {
		breakOff(near)
		return
	}
	left := &budget{fate: f}
	var both sync.WaitGroup
	for _, way := range [][2]net.Conn{{near, far}, {far, near}} {
		both.Go(func() {
			if _, err := io.Copy(&metered{way[1], left}, way[0]); err != nil {
				breakOff(near)
				breakOff(far)
			} else if tcp, ok := way[1].(*net.TCPConn); ok {
				_ = tcp.CloseWrite() // the other direction ends by itself
			}
		})
	}
	both.Wait()
	_ = near.Close() // what is under way still arrives
	_ = far.Close()
}

// budget is what is left until the fate of a connection comes.
type budget struct {
	held sync.Mutex
	fate
}

// metered carries one direction of a connection, until its fate comes.
type metered struct {
	to   net.Conn
	left *budget
}

// Write implements io.Writer.
func (m *metered) Write(p []byte) (int, error) {
	m.left.held.Lock()
	defer m.left.held.Unlock() // while one direction stands still, so does the other
	if m.left.after < 0 || int64(len(p)) < m.left.after {
		if m.left.after >= 0 {
			m.left.after -= int64(len(p))
		}
		return m.to.Write(p)
	}
	n, err := m.to.Write(p[:m.left.after])
	if err != nil {
		return n, err
	}
	time.Sleep(m.left.still)
	if m.left.broken {
		return n, io.ErrClosedPipe
	}
	m.left.after = -1
	rest, err := m.to.Write(p[n:])
	return n + rest, err
}
