package acquire

import "arctally/acquire/series"

func (r *recorder) takeBlock(b *series.Block) {
	r.announce()
	r.disown()
	r.assume()
	r.noteTick(b.End())
	if !isArcOrSums(b) {
		if b.Kind == series.Turn {
			r.hearMark(b)
		}
		b.Epoch = r.epoch
		r.hand(b)
		return
	}
	if r.lines && b.Kind == series.Arc {
		r.untie(b)
	}
	if !r.order.repeated {
		r.advance(b)
	}
	if e, ok := r.gap.end(b.Tick); ok {
		r.event(e)
	}
	r.handIn(b)
}

// handIn completes a block of arc or sums and puts it on its way.
func (r *recorder) handIn(b *series.Block) {
	b.Epoch, b.Break = r.epoch, r.breakNext
	r.breakNext = r.order.repeated // what follows a repeated block does not continue it
	r.count(b)
	r.all.measured(r)
	r.put(b)
}

// untie takes the step off the one sample of a line, which has a tick of its
// own. The step is the time since the line before: where the sample before is
// farther off, a line between them did not know its voltage or current.
func (r *recorder) untie(b *series.Block) {
	if b.Step > 0 && r.position.known && b.Tick-r.position.tick > b.Step {
		r.breakNext = true
	}
	b.Step = 0
}

// advance moves to a block of arc or sums, into the next epoch if its tick is
// before that of the block of its kind before it.
func (r *recorder) advance(b *series.Block) {
	if r.position.isBack(b) {
		r.nextEpoch(b.Tick, series.ClockBack, "the clock of the box went back")
		r.noteTick(b.End())
	}
	r.position.moveTo(b)
}

func (r *recorder) count(b *series.Block) {
	if b.Kind == series.Sums {
		r.tally.Windows++
		return
	}
	r.tally.Samples += int64(b.Len())
}

// put adds a block to the batch, or hands it out where it cannot be added.
func (r *recorder) put(b *series.Block) {
	if r.batch.takes(b) {
		r.batch.add(b)
		return
	}
	r.flush()
	if r.batch.takes(b) {
		r.batch.add(b)
		return
	}
	r.hand(b)
}

func (r *recorder) flush() {
	if b := r.batch.take(); b != nil {
		r.hand(b)
	}
}

// event hands out an event of the present epoch, after all that came before it.
func (r *recorder) event(e series.Event) {
	r.begin()
	r.announce()
	r.flush()
	e.Box, e.Epoch = r.source.Box, r.epoch
	r.out.event(e)
}
