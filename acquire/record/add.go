package record

import (
	"arctally/acquire/calib"
	"arctally/acquire/clock"
	"arctally/acquire/series"
)

// Source says how the source describes itself from here on. A description that
// says nothing new is not stored again, unless an epoch of a companion begins.
func (w *Writer) Source(s series.Source) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	at := w.stand(s.Box)
	if at.hasSource && at.source.Equal(s) {
		return w.refusal()
	}
	if err := checkSource(w.path, &s); err != nil {
		return err
	}
	if err := w.room(costOfRow); err != nil {
		return err
	}
	w.cut(at) // codes on either side of the change have different scales
	s.Channels = append([]series.Channel(nil), s.Channels...)
	at.source, at.hasSource = s, true
	if s.Box > 0 {
		at.hasSomething = true
		return nil
	}
	at.open.source, at.open.epoch, at.open.tick = &s, at.epoch, at.tick
	w.charge(at, costOfRow)
	return nil
}

// Block adds the samples of a block, which it copies. It waits while the memory
// is full. It panics if the block's slices differ in length.
func (w *Writer) Block(b *series.Block) error {
	check(b)
	w.mu.Lock()
	defer w.mu.Unlock()
	n, lane, at := b.Len(), laneOf(b.Kind), w.stand(b.Box)
	at.breakNext[lane] = at.breakNext[lane] || b.Break
	for from := 0; from < n; {
		to, err := w.piece(at, b, from, n)
		if err != nil {
			return err
		}
		from = to
	}
	return w.refusal()
}

// piece adds as many samples as the open group takes and returns where it stopped.
func (w *Writer) piece(at *stand, b *series.Block, from, n int) (int, error) {
	if err := w.introduce(at, b.Epoch, b.At(from)); err != nil {
		return from, err
	}
	if err := w.room(min(n-from, maxGroupSamples)); err != nil {
		return from, err
	}
	if at.open.full() || at.open.hasBlocks && at.open.blocksEpoch != b.Epoch {
		w.cut(at) // a group has one epoch, so that its blocks can be ordered by tick
	}
	to := at.open.within(b, from, min(n, from+maxGroupSamples-at.open.samples))
	if to == from {
		w.cut(at)
		to = at.open.within(b, from, min(n, from+maxGroupSamples))
	}
	before, lane := at.open.cost, laneOf(b.Kind)
	at.open.add(b, from, to, at.breakNext[lane])
	at.breakNext[lane] = false
	w.waiting += at.open.cost - before
	at.epoch, at.tick, at.hasTick = b.Epoch, b.At(to-1), true
	w.takeEpoch(b.Epoch)
	w.nudge()
	return to, nil
}

// Event adds what happened to the measurement.
func (w *Writer) Event(e series.Event) error {
	return w.said(e.Box, e.Epoch, e.Tick, func(g *group) {
		g.events = append(g.events, e)
		if e.Kind != series.Resumed && e.Kind != series.Remark { // as nextEpoch has it
			w.takeEpoch(e.Epoch)
		}
	})
}

// said adds something small that a box said.
func (w *Writer) said(box, epoch int, tick int64, add func(*group)) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	at := w.stand(box)
	if err := w.introduce(at, epoch, tick); err != nil {
		return err
	}
	return w.hold(at, costOfRow, add)
}

// Calibration adds a calibration that holds from a tick on.
func (w *Writer) Calibration(c calib.Calibration, epoch int, tick int64) error {
	return w.other(func(g *group) {
		g.calibrations = append(g.calibrations, calib.Timed{Calibration: c, Epoch: epoch, Tick: tick})
	})
}

// Clock adds what was known of the relation between ticks and wall time.
func (w *Writer) Clock(f clock.Fit) error {
	return w.said(f.Box, f.Epoch, f.Tick, func(g *group) {
		g.fits = append(g.fits, f)
		w.takeEpoch(f.Epoch)
	})
}

// other adds something small that no box said.
func (w *Writer) other(add func(*group)) error { return w.sized(costOfRow, add) }

// sized adds something that no box said, and that takes the memory of n samples.
func (w *Writer) sized(n int, add func(*group)) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.hold(w.arc(), n, add)
}

// hold adds something to the open group of a box, for who has the lock.
func (w *Writer) hold(at *stand, n int, add func(*group)) error {
	if err := w.room(n); err != nil {
		return err
	}
	if at.open.full() {
		w.cut(at)
	}
	add(at.open)
	w.charge(at, n)
	return nil
}

// Last returns the epoch and tick of the last sample of the box that tells the arc;
// false where there is none yet.
func (w *Writer) Last() (epoch int, tick int64, ok bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	at := w.arc()
	return at.epoch, at.tick, at.hasTick
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
	w.cutAll()
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
	w.cutAll()
	w.poke()
	w.mu.Unlock()
	<-w.done
	return w.closed
}
