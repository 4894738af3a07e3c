package loopback

import (
	"io"
	"io/fs"
	"os"
	"sync"
	"time"
)

// queue carries bytes one way.
type queue struct {
	mu      sync.Mutex
	moved   *sync.Cond
	bytes   []byte
	ended   bool
	reading time.Time // when a read stops waiting; zero is never
	writing time.Time
	alarms  [2]*time.Timer // that wake them then
}

func newQueue() *queue {
	q := &queue{}
	q.moved = sync.NewCond(&q.mu)
	return q
}

func past(t time.Time) bool { return !t.IsZero() && !time.Now().Before(t) }

// read reads what there is, or waits for it.
func (q *queue) read(p []byte) (int, error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.take(p)
}

// take is read for who has the lock.
func (q *queue) take(p []byte) (int, error) {
	for len(q.bytes) == 0 && len(p) > 0 {
		switch {
		case q.ended:
			return 0, io.EOF
		case past(q.reading):
			return 0, os.ErrDeadlineExceeded
		}
		q.moved.Wait()
	}
	n := copy(p, q.bytes)
	q.bytes = q.bytes[:copy(q.bytes, q.bytes[n:])]
	q.moved.Broadcast()
	return n, nil
}

// readWithin reads, and returns (0, nil) where nothing comes for so long.
func (q *queue) readWithin(p []byte, longest time.Duration) (int, error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if len(q.bytes) == 0 {
		q.set(&q.reading, 0, time.Now().Add(longest))
	}
	n, err := q.take(p)
	if err == os.ErrDeadlineExceeded {
		err = nil
	}
	return n, err
}

// write puts all of it there, and waits for room.
func (q *queue) write(p []byte) (n int, err error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	for n < len(p) {
		switch {
		case q.ended:
			return n, fs.ErrClosed
		case past(q.writing):
			return n, os.ErrDeadlineExceeded
		case len(q.bytes) == holds:
			q.moved.Wait()
			continue
		}
		m := min(len(p)-n, holds-len(q.bytes))
		q.bytes = append(q.bytes, p[n:n+m]...)
		n += m
		q.moved.Broadcast()
	}
	return n, nil
}

// set sets a deadline, and has who waits look again then.
func (q *queue) set(deadline *time.Time, alarm int, t time.Time) {
	*deadline = t
	if q.alarms[alarm] != nil {
		q.alarms[alarm].Stop()
	}
	if !t.IsZero() {
		q.alarms[alarm] = time.AfterFunc(time.Until(t), q.wake)
	}
}

func (q *queue) wake() {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.moved.Broadcast()
}

func (q *queue) readUntil(t time.Time) error {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.set(&q.reading, 0, t)
	return nil
}

func (q *queue) writeUntil(t time.Time) error {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.set(&q.writing, 1, t)
	return nil
}

func (q *queue) held() int {
	q.mu.Lock()
	defer q.mu.Unlock()
	return len(q.bytes)
}

// end lets nothing more in; what is held can still be read.
func (q *queue) end() {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.ended = true
	q.moved.Broadcast()
}
