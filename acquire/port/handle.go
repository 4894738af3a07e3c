package port

import (
	"errors"
	"sync"
	"time"

	"go.bug.st/serial"
)

const (
	poll       = 50 * time.Millisecond // the read time-out: how long Close may wait for a reader
	stuckAfter = time.Second           // when Close gives up a write that the line does not take
)

// handle is one opening of a node. The library closes a descriptor under a
// call that is still inside it; by counting the calls, the last one out closes
// and no call ever meets a descriptor that is already another file's.
type handle struct {
	port    line
	release func() error // of its lock

	mu      sync.Mutex
	users   int // calls inside the library
	closing bool
	closed  chan struct{} // closed when the descriptor and the lock are gone
	err     error         // of closing; read after closed
}

func newHandle(l line, release func() error) *handle {
	return &handle{port: l, release: release, closed: make(chan struct{})}
}

// enter reports whether the caller may use h.port; it then calls leave.
func (h *handle) enter() bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closing {
		return false
	}
	h.users++
	return true
}

func (h *handle) leave() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.users--
	h.closeIfUnused()
}

// shut lets no further call in; the handle closes when the last one is out.
func (h *handle) shut() {
	h.mu.Lock()
	defer h.mu.Unlock()
	if !h.closing {
		h.closing = true
		h.closeIfUnused()
	}
}

func (h *handle) closeIfUnused() {
	if h.closing && h.users == 0 {
		h.err = errors.Join(h.port.Close(), h.release())
		close(h.closed)
	}
}

// read returns (0, nil) for nothing yet, and an error only where the node is
// gone or the handle shut.
func (h *handle) read(buf []byte) (int, error) {
	if !h.enter() {
		return 0, errShut
	}
	defer h.leave()
	return h.port.Read(buf)
}

// write sends one piece of a longer write: shut can come between two of them.
func (h *handle) write(piece []byte) (int, error) {
	if !h.enter() {
		return 0, errShut
	}
	defer h.leave()
	return h.port.Write(piece)
}

// retune sets another mode.
func (h *handle) retune(mode *serial.Mode) error {
	if !h.enter() {
		return errShut
	}
	defer h.leave()
	return h.port.SetMode(mode)
}

// waitClosed waits, after shut, until the handle is closed. It gives up after
// a while: nothing wakes a write that the line does not take.
func (h *handle) waitClosed() bool {
	deadline := time.NewTimer(stuckAfter)
	defer deadline.Stop()
	select {
	case <-h.closed:
		return true
	case <-deadline.C:
		return false
	}
}
