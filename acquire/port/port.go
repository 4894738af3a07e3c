package port

import (
	"context"
	"io"
	"sync"
	"sync/atomic"
	"time"

	"arctally/acquire/series"
)

// Config names a port.
type Config struct {
	Name    string // path of the node or, better, of a link to it
	Baud    int    // 0 is series.DefaultBaud
	Even    bool   // parity; none otherwise
	LockDir string // folder for lock files; "" is the one all users share
	// Awaited has a node that is missing at first waited for, as one that went.
	Awaited bool
}

// Port is an open serial port. One goroutine reads; Write and Close may be
// called by any.
type Port struct {
	config Config
	watch  func(series.Event)
	stop   func() bool // takes Close off the context

	reading  atomic.Bool
	attempts attempts // used by the reader, as are the next three
	look     func(name string) (nodeID, error)
	open     func(name string, baud int, lockDir string) (*handle, error)
	sleep    func(time.Duration) bool // false: the port is closed

	missing error // how the node was not there at first, until Read has told it

	mu      sync.Mutex
	handle  *handle // nil while unplugged
	ended   bool
	closing chan struct{}
}

// Open opens a port until Close or the end of ctx. The errors of the first
// opening are returned; once it is open, the port waits for a node that goes.
func Open(ctx context.Context, c Config) (*Port, error) {
	if err := ctx.Err(); err != nil {
		return nil, wrap("open", c.Name, err)
	}
	if c.Baud == 0 {
		c.Baud = series.DefaultBaud
	}
	if c.Baud < 0 {
		return nil, wrap("open", c.Name, errBaud)
	}
	if c.LockDir == "" {
		dir, err := lockDir(sharedLocks)
		if err != nil {
			return nil, wrap("lock", c.Name, err)
		}
		c.LockDir = dir
	}
	open := func(name string, baud int, lockDir string) (*handle, error) {
		return openNode(name, modeOf(baud, c.Even), lockDir)
	}
	h, err := open(c.Name, c.Baud, c.LockDir)
	if err != nil && !(c.Awaited && isMissing(err)) {
		return nil, err
	}
	p := &Port{config: c, handle: h, look: nodeBehind, open: open, closing: make(chan struct{})}
	p.watch = func(series.Event) {}
	p.sleep = p.wait
	p.missing = err
	p.stop = context.AfterFunc(ctx, func() { _ = p.settle() }) // Close tells the error
	return p, nil
}

// Watch has f called on Unplugged and Replugged, in the goroutine that reads
// and during Read. It is called before the first Read.
func (p *Port) Watch(f func(series.Event)) { p.watch = f }

// Read blocks until bytes come. It outlasts unplugging, and returns io.EOF
// once the port is closed or its context has ended. It panics if two
// goroutines read at a time.
func (p *Port) Read(buf []byte) (int, error) {
	if !p.reading.CompareAndSwap(false, true) {
		panic("port: Read is called by two goroutines")
	}
	defer p.reading.Store(false)
	p.tellMissing()
	for {
		h := p.current()
		if h == nil {
			if h = p.reopen(); h == nil {
				return 0, io.EOF
			}
		}
		n, err := h.read(buf)
		switch {
		case n > 0:
			// An error that came with bytes comes again without them.
			p.attempts.forget()
			return n, nil
		case p.isClosed():
			return 0, io.EOF
		case err != nil:
			p.drop(h, err)
		}
	}
}

// Missing returns how a node that is awaited was not there when the port was opened, or
// nil. It is called before the first Read.
func (p *Port) Missing() error { return p.missing }

// tellMissing tells of a node that was not there at first.
func (p *Port) tellMissing() {
	if p.missing != nil {
		text := p.missing.Error()
		p.missing = nil
		p.watch(series.Event{Kind: series.Unplugged, Count: 1, Text: text})
	}
}

// current returns the open handle, nil while there is none.
func (p *Port) current() *handle {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.handle
}

func (p *Port) baud() int {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.config.Baud
}

func (p *Port) isClosed() bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.ended
}

// drop gives up a handle whose node is gone. A failure to close it says
// nothing more than that.
func (p *Port) drop(h *handle, cause error) {
	p.mu.Lock()
	p.handle = nil
	p.mu.Unlock()
	h.shut()
	p.watch(series.Event{Kind: series.Unplugged, Count: 1, Text: wrap("read", p.config.Name, cause).Error()})
}

// reopen looks until the node is back, and returns nil if the port is closed
// before. While it is away nothing is opened, and a look costs next to nothing.
func (p *Port) reopen() *handle {
	for p.sleep(lookEvery) {
		node, err := p.look(p.config.Name)
		if !p.attempts.due(node, err == nil) {
			continue
		}
		h, err := p.open(p.config.Name, p.baud(), p.config.LockDir)
		if err != nil {
			// Not yet handed to our group, gone again, or grabbed for a moment by
			// a modem manager: all of them pass.
			continue
		}
		if !p.adopt(h) {
			return nil
		}
		p.watch(series.Event{Kind: series.Replugged, Count: 1, Text: "port " + p.config.Name + " came back"})
		return h
	}
	return nil
}

// wait sleeps; it reports false if the port is closed meanwhile.
func (p *Port) wait(pause time.Duration) bool {
	timer := time.NewTimer(pause)
	defer timer.Stop()
	select {
	case <-p.closing:
		return false
	case <-timer.C:
		return true
	}
}

// adopt makes h the current handle unless the port was closed while it opened.
func (p *Port) adopt(h *handle) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.ended {
		h.shut()
		return false
	}
	p.handle = h
	return true
}
