package record

import (
	"arctally/acquire/calib"
	"arctally/acquire/clock"
	"arctally/acquire/series"
)

// Source says how the source describes itself from here on. A description that
// says nothing new is not stored again.
func (w *Writer) Source(s series.Source) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.hasSource && w.source.Equal(s) {
		return w.refusal()
	}
	if err := checkSource(w.path, &s); err != nil {
		return err
	}
	if err := w.room(costOfRow); err != nil {
		return err
	}
	w.cut() // codes on either side of the change have different scales
	s.Channels = append([]series.Channel(nil), s.Channels...)
	w.source, w.hasSource = s, true
	w.open.source, w.open.epoch, w.open.tick = &s, w.epoch, w.tick
	w.charge(costOfRow)
	return nil
}

// Block adds the samples of a block, which it copies. It waits while the memory
// is full. It panics if the block's slices differ in length.
func (w *Writer) Block(b *series.Block) error {
	check(b)
	w.mu.Lock()
	defer w.mu.Unlock()
	n, lane := b.Len(), laneOf(b.Kind)
	w.breakNext[lane] = w.breakNext[lane] || b.Break
	for from := 0; from < n; {
		to, err := w.piece(b, from, n)
		if err != nil {
			return err
		}
		from = to
	}
	return w.refusal()
}

// piece adds as many samples as the open group takes and returns where it stopped.
func (w *Writer) piece(b *series.Block, from, n int) (int, error) {
	if err := w.room(min(n-from, maxGroupSamples)); err != nil {
		return from, err
	}
	if w.open.full() || w.open.hasBlocks && w.open.blocksEpoch != b.Epoch {
		w.cut() // a group has one epoch, so that its blocks can be ordered by tick
	}
	to := min(n, from+maxGroupSamples-w.open.samples)
	before, lane := w.open.cost, laneOf(b.Kind)
	w.open.add(b, from, to, w.breakNext[lane])
	w.breakNext[lane] = false
	w.waiting += w.open.cost - before
	w.epoch, w.tick, w.hasTick = b.Epoch, b.At(to-1), true
	w.nudge()
	return to, nil
}

// Event adds what happened to the measurement.
func (w *Writer) Event(e series.Event) error {
	return w.other(func(g *group) { g.events = append(g.events, e) })
}

// Calibration adds a calibration that holds from a tick on.
func (w *Writer) Calibration(c calib.Calibration, epoch int, tick int64) error {
	return w.other(func(g *group) {
		g.calibrations = append(g.calibrations, calib.Timed{Calibration: c, Epoch: epoch, Tick: tick})
	})
}

// Clock adds what was known of the relation between ticks and wall time.
func (w *Writer) Clock(f clock.Fit) error {
	return w.other(func(g *group) { g.fits = append(g.fits, f) })
}

// other adds something small to the open group.
func (w *Writer) other(add func(*group)) error { return w.sized(costOfRow, add) }

// sized adds something to the open group that takes the memory of n samples.
func (w *Writer) sized(n int, add func(*group)) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.hold(n, add)
}

// hold is sized for who has the lock.
func (w *Writer) hold(n int, add func(*group)) error {
	if err := w.room(n); err != nil {
		return err
	}
	if w.open.full() {
		w.cut()
	}
	add(w.open)
	w.charge(n)
	return nil
}

// Last returns the epoch and tick of the last sample; false where there is none
// yet. Whoever goes on with a record numbers its epochs from there.
func (w *Writer) Last() (epoch int, tick int64, ok bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.epoch, w.tick, w.hasTick
}

// Acknowledged returns the number of samples in the record that are durable,
// of all kinds of block together.
func (w *Writer) Acknowledged() int64 {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.acknowledged
}

// Sync returns once everything added before it is durable.
func (w *Writer) Sync() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.flush()
}

// flush is Sync for who has the lock.
func (w *Writer) flush() error {
	w.cut()
	w.sealNow = true
	w.poke()
	for target := w.sealed; w.committed < target && w.err == nil; {
		w.moved.Wait()
	}
	return w.refusal()
}

// Close commits what is left, folds the "-wal" file into the record and returns
// the first error that the Writer met. Closing again returns the same.
func (w *Writer) Close() error {
	w.mu.Lock()
	if w.closing {
		w.mu.Unlock()
		<-w.done
		return w.closed
	}
	w.closing = true
	w.cut()
	w.poke()
	w.mu.Unlock()
	<-w.done
	return w.closed
}
