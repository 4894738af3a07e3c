package acquire

import (
	"context"
	"io"
	"math/rand/v2"
	"sync"
	"time"

	"arctally/acquire/link"
)

// Limits of asking.
const (
	askEvery   = time.Second
	unanswered = 5 // in a row, after which a box is taken for one that cannot hear. Ours.
)

// pinger asks the box on a line for its clock: a round trip bounds how late the host
// sees it. A box that cannot hear is soon left alone, and one that is starting up is
// never disturbed: it is asked only where a frame has come since it was asked last.
//
// It writes in a goroutine of its own: a line that takes nothing holds up no reading.
type pinger struct {
	to  io.Writer
	now func() time.Time

	mu      sync.Mutex // guards what follows
	heard   bool       // a frame came since the last question
	open    bool       // the last question waits for its answer
	nonce   uint32     // of it
	sent    time.Time
	missing int // answers, in a row
}

// newPinger returns a pinger of a line, nil where the line takes nothing.
func newPinger(line io.Reader, now func() time.Time) *pinger {
	to, ok := line.(io.Writer)
	if !ok {
		return nil
	}
	return &pinger{to: to, now: now, nonce: rand.Uint32()}
}

// run asks at every beat until ctx ends. It may outlast ctx by a write that the line
// does not take, and no more.
func (p *pinger) run(ctx context.Context, beat <-chan time.Time) {
	var frame []byte
	for {
		select {
		case <-ctx.Done():
			return
		case <-beat:
		}
		if ping, ask := p.next(); ask && ctx.Err() == nil {
			frame = link.AppendPing(frame[:0], ping.Nonce, ping)
			_, _ = p.to.Write(frame) // a line that is away has no answer, and is told by who reads it
		}
	}
}

// next is the next question; false where none is to be asked.
func (p *pinger) next() (ping link.Ping, ask bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if !p.heard || p.missing >= unanswered {
		return ping, false
	}
	p.nonce++
	p.missing++
	p.heard, p.open, p.sent = false, true, p.now()
	return link.Ping{Nonce: p.nonce}, true
}

// hear takes what came from the box. An answer to the last question gets the time at
// which that was sent; a late one, one that came twice and one to somebody else do not.
func (p *pinger) hear(r *link.Reading) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.heard = true
	if r.Pong == nil || !p.open || r.Pong.Nonce != p.nonce {
		return
	}
	p.open, p.missing = false, 0
	r.Asked = p.sent
}

// anew asks again whatever is on the line now.
func (p *pinger) anew() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.heard, p.open, p.missing = false, false, 0
}
