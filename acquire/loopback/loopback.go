// Package loopback is a serial line inside the program, for a virtual sensor box where the
// system has no pseudo-terminals. What is written at one end comes out at the other, byte
// by byte, and waits there as long as a real driver would keep it.
//
// Terms. The box has a Line; whoever opens the port by the Line's name has its End, one at a
// time. A line is plugged until the box closes it. A name means something in the program
// that made the line, and in no other.
//
// Errors: those of files, os.ErrDeadlineExceeded, io.EOF and fs.ErrNotExist, and ErrBusy.
package loopback

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"sync"
	"time"
)

// prefix begins the names of these lines; no system has a port of such a name.
const prefix = "loopback:"

// holds is how many bytes wait at an end until a writer has to: as many as at a
// pseudo-terminal of Linux.
const holds = 4095

// ErrBusy is an end that is open already.
var ErrBusy = errors.New("the line inside the program is open already")

// lines are those that are plugged, by name.
var lines = struct {
	sync.Mutex
	made   int
	byName map[string]*Line
}{byName: map[string]*Line{}}

// Line is the end of the box.
type Line struct {
	name           string
	toBox, fromBox *queue

	mu     sync.Mutex
	taken  bool          // somebody has the other end
	opened chan struct{} // closed while somebody has it
}

// New makes a line and gives it a name.
func New() *Line {
	lines.Lock()
	defer lines.Unlock()
	lines.made++
	l := &Line{name: fmt.Sprintf("%s%d", prefix, lines.made), toBox: newQueue(), fromBox: newQueue(), opened: make(chan struct{})}
	lines.byName[l.name] = l
	return l
}

// Is reports whether a name is that of such a line, plugged or not.
func Is(name string) bool { return strings.HasPrefix(name, prefix) }

func plugged(name string) *Line {
	lines.Lock()
	defer lines.Unlock()
	return lines.byName[name]
}

// Plugged reports whether there is a line of that name.
func Plugged(name string) bool { return plugged(name) != nil }

// Open opens the other end of a line.
func Open(name string) (*End, error) {
	l := plugged(name)
	if l == nil {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.taken {
		return nil, ErrBusy
	}
	l.taken = true
	close(l.opened)
	return &End{line: l}, nil
}

// Name is how the other end is opened.
func (l *Line) Name() string { return l.name }

// Read brings what is said to the box.
func (l *Line) Read(p []byte) (int, error) { return l.toBox.read(p) }

// Write waits for the other end rather than lose a byte.
func (l *Line) Write(p []byte) (int, error) { return l.fromBox.write(p) }

// SetReadDeadline ends a Read that waits then; the zero time is never.
func (l *Line) SetReadDeadline(t time.Time) error { return l.toBox.readUntil(t) }

// SetWriteDeadline ends a Write that waits then; the zero time is never.
func (l *Line) SetWriteDeadline(t time.Time) error { return l.fromBox.writeUntil(t) }

// AwaitReader returns when somebody has the other end open.
func (l *Line) AwaitReader(ctx context.Context) error {
	l.mu.Lock()
	opened := l.opened
	l.mu.Unlock()
	select {
	case <-opened:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// Held is how many bytes wait for the other end.
func (l *Line) Held() (int, error) { return l.fromBox.held(), nil }

// Close pulls the plug.
func (l *Line) Close() error {
	lines.Lock()
	defer lines.Unlock()
	delete(lines.byName, l.name)
	l.toBox.end()
	l.fromBox.end()
	return nil
}

// End is the end of who opened the port.
type End struct {
	line *Line
	mu   sync.Mutex
	shut bool
}

// ReadWithin reads what the box has said, and returns (0, nil) where it says nothing for so long.
func (e *End) ReadWithin(p []byte, longest time.Duration) (int, error) {
	return e.line.fromBox.readWithin(p, longest)
}

// Write says something to the box.
func (e *End) Write(p []byte) (int, error) { return e.line.toBox.write(p) }

// Close lets another one open it.
func (e *End) Close() error {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.shut {
		return fs.ErrClosed
	}
	e.shut = true
	e.line.mu.Lock()
	defer e.line.mu.Unlock()
	e.line.taken, e.line.opened = false, make(chan struct{})
	return nil
}
