package apart

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"net"
	"os"
	"runtime"
	"time"

	"arctally/acquire/system"
)

// guarded has front and recorder meet at a port of this machine, which anybody on it may
// reach, in place of a socket in a folder. Windows has such sockets only in its later
// versions, and tells nothing of who is at their other end.
var guarded = runtime.GOOS == "windows"

// meeting is what lies in the folder that only their user may enter: who knows it is that
// user. Each says its word: the caller first, for the one who waits is known by the file.
type meeting struct {
	Address string `json:"address"`
	Process int    `json:"process"` // who waits
	Caller  string `json:"caller"`  // what a caller says
	Host    string `json:"host"`    // what who waits answers
}

// greeting is how long either may take for its word.
const greeting = 5 * time.Second

// says says a word.
func says(conn net.Conn, word string) error {
	_, err := io.WriteString(conn, word)
	return err
}

// hears reports whether the other end says the word.
func hears(conn net.Conn, word string) bool {
	said := make([]byte, len(word))
	_, err := io.ReadFull(conn, said)
	return err == nil && subtle.ConstantTimeCompare(said, []byte(word)) == 1
}

// known is a line to who waits at a meeting.
type known struct {
	net.Conn
	process int
}

// call finds who waits at a meeting that is written down in a file.
func call(ctx context.Context, file string) (net.Conn, error) {
	text, err := os.ReadFile(file)
	var m meeting
	if err == nil {
		err = json.Unmarshal(text, &m)
	}
	if err != nil {
		return nil, err
	}
	conn, err := new(net.Dialer).DialContext(ctx, "tcp", m.Address)
	if err != nil {
		return nil, err
	}
	_ = conn.SetDeadline(time.Now().Add(greeting)) // a connection has deadlines
	if err := says(conn, m.Caller); err != nil || !hears(conn, m.Host) {
		_ = conn.Close() // another program has the port by now
		return nil, errLine
	}
	_ = conn.SetDeadline(time.Time{})
	return known{conn, m.Process}, nil
}

// guard is a listener that lets in who knows the word.
type guard struct {
	net.Listener
	file    string
	meeting meeting
	came    chan net.Conn
	closed  context.Context
	close   context.CancelFunc
}

// await waits for callers at a meeting, and writes it down in a file.
func await(ctx context.Context, file string) (net.Listener, error) {
	port, err := new(net.ListenConfig).Listen(ctx, "tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	g := &guard{
		Listener: port, file: file, came: make(chan net.Conn),
		meeting: meeting{Address: port.Addr().String(), Process: os.Getpid(), Caller: rand.Text(), Host: rand.Text()},
	}
	g.closed, g.close = context.WithCancel(context.Background())
	if err := g.writeDown(); err != nil {
		return nil, errors.Join(err, port.Close())
	}
	go g.receive()
	return g, nil
}

// writeDown tells the user's other programs of the meeting, and nobody else.
func (g *guard) writeDown() error {
	draft := g.file + "-new"
	if err := os.Remove(draft); err != nil && !errors.Is(err, fs.ErrNotExist) { // one with other rights would keep them
		return err
	}
	if err := os.WriteFile(draft, encoded(g.meeting), 0o600); err != nil {
		return err
	}
	return system.Rename(draft, g.file)
}

// receive lets in who says the word. Who says nothing holds up nobody.
func (g *guard) receive() {
	defer g.close()
	for {
		conn, err := g.Listener.Accept()
		if err != nil {
			return
		}
		go func() {
			_ = conn.SetDeadline(time.Now().Add(greeting))
			if !hears(conn, g.meeting.Caller) || says(conn, g.meeting.Host) != nil {
				_ = conn.Close() // a stranger
				return
			}
			_ = conn.SetDeadline(time.Time{})
			select {
			case g.came <- conn:
			case <-g.closed.Done():
				_ = conn.Close()
			}
		}()
	}
}

// Accept implements net.Listener.
func (g *guard) Accept() (net.Conn, error) {
	select {
	case conn := <-g.came:
		return conn, nil
	case <-g.closed.Done():
		return nil, net.ErrClosed
	}
}

// Close implements net.Listener.
func (g *guard) Close() error {
	_ = os.Remove(g.file) // or the next one does
	g.close()
	return g.Listener.Close()
}
