package record

import (
	"context"
	"errors"
)

// refusal returns the error that every call meets, if there is one.
func (w *Writer) refusal() error {
	if w.err == nil && w.closing {
		return &Error{Kind: Closed, Path: w.path}
	}
	return w.err
}

// room waits until the memory can take n more samples.
func (w *Writer) room(n int) error {
	for w.waiting+n > w.option.limit && w.waiting > 0 {
		if err := w.refusal(); err != nil {
			return err
		}
		w.cutAll()
		w.poke()
		w.moved.Wait()
	}
	return w.refusal()
}

// charge counts something small that was added to the open group of a box.
func (w *Writer) charge(at *stand, n int) {
	at.open.cost += n
	w.waiting += n
}

// cut ends the open group of a box and begins the next one.
func (w *Writer) cut(at *stand) {
	if at.open.empty() {
		return
	}
	w.queue = append(w.queue, at.open)
	w.sealed++
	at.open = w.empty(at.box)
}

// cutAll ends the open groups of all boxes.
func (w *Writer) cutAll() {
	for _, at := range w.stands {
		w.cut(at)
	}
}

// empty returns a group of a box with nothing in it.
func (w *Writer) empty(box int) *group {
	g, n := new(group), len(w.free)
	if n > 0 {
		g, w.free = w.free[n-1], w.free[:n-1]
	}
	g.box = box
	return g
}

// nudge asks for a commit before its time, where an import fills the memory.
func (w *Writer) nudge() {
	if w.waiting > w.option.limit/8 {
		w.poke()
	}
}

func (w *Writer) poke() {
	select {
	case w.wake <- struct{}{}:
	default:
	}
}

// work commits what the callers added, until the Writer is closed.
func (w *Writer) work() {
	for {
		beat := false
		select {
		case <-w.option.beat:
			beat = true
		case <-w.wake:
		}
		batch, last := w.take(beat)
		if len(batch) > 0 {
			w.settle(batch, w.commit.all(batch))
		}
		if last {
			w.finish()
			return
		}
	}
}

// take returns the groups to commit, and whether they are the last.
func (w *Writer) take(beat bool) (batch []*group, last bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if beat {
		w.cutAll()
	}
	if w.err == nil {
		batch, w.queue = w.queue, nil
	}
	return batch, w.closing
}

// settle accounts for groups that were committed, or keeps the error for good.
func (w *Writer) settle(batch []*group, err error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	defer w.moved.Broadcast()
	if err != nil {
		w.err = single(w.path, err)
		return
	}
	for _, g := range batch {
		w.acknowledged += int64(g.samples)
		w.waiting -= g.cost
		g.reset()
	}
	w.committed += int64(len(batch))
	w.free = append(w.free, batch...)
}

// finish closes the file; Close returns what it leaves in w.closed.
func (w *Writer) finish() {
	defer close(w.done)
	if w.ticker != nil {
		w.ticker.Stop()
	}
	err := w.refusedBy()
	if err == nil {
		err = w.commit.end()
	}
	if err == nil {
		err = w.fold()
	}
	err = errors.Join(err, w.commit.close(), w.conn.Close(), w.db.Close())
	err = errors.Join(err, released(w.path), w.lock.Remove())
	w.closed = single(w.path, err)
	w.mu.Lock()
	defer w.mu.Unlock()
	w.moved.Broadcast()
}

// refusedBy returns the error of a commit, if there was one.
func (w *Writer) refusedBy() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.err
}

// fold moves the "-wal" file into the record, so that one file is the whole of
// it. A reader that holds it back does no harm: the next to close folds it.
func (w *Writer) fold() error {
	ctx := context.Background()
	if _, err := w.conn.ExecContext(ctx, "PRAGMA busy_timeout = 1000"); err != nil {
		return wrap(w.path, "close", err)
	}
	_, err := w.conn.ExecContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)")
	if kindOf(err) == Busy {
		return nil
	}
	return wrap(w.path, "fold the -wal file", err)
}
