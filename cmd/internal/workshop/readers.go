package workshop

import (
	"slices"
	"sync"
	"time"

	"arctally/cmd/internal/review"
)

// How many readers wait for the next look at a record, and for how long: each takes some
// 2 MB, and holds its file open.
const (
	mostIdle = 4
	idleTime = time.Minute
)

// readers keeps readers of finished records from one look to the next: to open a record
// costs more than to read a window of it. Each is used by one request at a time.
type readers struct {
	mu    sync.Mutex
	idle  []*review.Review // the one that was used last stands last
	tired *time.Timer      // closes them where nobody looks any more
	ended bool
}

func newReaders() *readers { return &readers{} }

// take returns a reader of a record as it is now.
func (p *readers) take(file string) (*review.Review, error) {
	for {
		r := p.find(file)
		if r == nil {
			return review.OpenSamples(file)
		}
		if r.Lasting() {
			return r, nil
		}
		if err := r.Close(); err != nil {
			return nil, err
		}
	}
}

// find takes out the reader of a record that was used last; nil where there is none.
func (p *readers) find(file string) *review.Review {
	p.mu.Lock()
	defer p.mu.Unlock()
	for k, r := range slices.Backward(p.idle) {
		if r.File == file {
			p.idle = slices.Delete(p.idle, k, k+1)
			return r
		}
	}
	return nil
}

// give takes a reader back, and closes what is one too many.
func (p *readers) give(r *review.Review) error {
	if !r.Lasting() {
		return r.Close()
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.ended {
		return r.Close()
	}
	p.idle = append(p.idle, r)
	if p.tired == nil {
		p.tired = time.AfterFunc(idleTime, p.rest)
	}
	p.tired.Reset(idleTime)
	if len(p.idle) <= mostIdle {
		return nil
	}
	r, p.idle = p.idle[0], slices.Delete(p.idle, 0, 1)
	return r.Close()
}

// rest closes what waits.
func (p *readers) rest() {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, r := range p.idle {
		_ = r.Close() // it only read: nothing can be lost
	}
	p.idle = nil
}

// close closes all, and keeps none any more.
func (p *readers) close() {
	p.mu.Lock()
	p.ended = true
	p.mu.Unlock()
	p.rest()
}
