package arc

// heldFilter finds the times in which a source only repeats its last values, and
// marks their samples.
//
// A source that measures anew every refresh interval says nothing about the arc
// for longer than that, so a row of equal readings counts as arc for credit at
// most (series.Source.HeldArc). A row longer than heldAfter is held. One longer than
// mayBeAfter is longer than chance makes it, but an arc that is steady against the
// steps of the display looks the same: it may be held, and counts as arc. What is
// shorter is chance: fresh values that were equal. A row that was there from the first
// sample on was never fresh, and has no credit.
//
// The wire knows more than the digits: it stops with the arc, and readings of it that
// move on while it is fed are no display that stands.
//
// Samples of a row wait here until it shows which it is, so that no more wait than
// come in heldAfter, or in mayBeAfter where no row is long enough to be held.
type heldFilter struct {
	credit, heldAfter, mayBeAfter int64

	inRow    bool
	unseen   bool // the row was not seen to begin
	rowStart int64
	age      int64
	v, i     float64
	waiting  []Sample
	wire     wireInRow
}

// looks reports whether anything is looked for.
func (f *heldFilter) looks() bool { return f.heldAfter != 0 || f.mayBeAfter != 0 }

// longest is how long a row waits.
func (f *heldFilter) longest() int64 {
	if f.heldAfter != 0 {
		return f.heldAfter
	}
	return f.mayBeAfter
}

// add takes a sample and hands on those that are decided, in order.
func (f *heldFilter) add(s Sample, next func(Sample)) {
	if s.Mark&(FlagOn|FlagOff) != 0 {
		next(s)
		return
	}
	if !f.inRow || s.V != f.v || s.I != f.i {
		f.flush(next)
		f.unseen = !f.inRow
		f.inRow = true
		f.rowStart, f.v, f.i = s.Tick, s.V, s.I
		f.wire.beginRow()
	}
	f.age = s.Tick - f.rowStart
	switch {
	case f.age <= f.credit && !f.unseen:
		next(s)
	case f.age <= f.longest():
		f.waiting = append(f.waiting, s)
	default:
		f.flush(next)
		s.Mark |= f.mark()
		next(s)
	}
}

// mark says what the row is, as long as it is by now.
func (f *heldFilter) mark() Mark {
	longEnough := f.heldAfter != 0 && f.age > f.heldAfter
	switch {
	case f.mayBeAfter == 0 && !longEnough, f.mayBeAfter != 0 && f.age <= f.mayBeAfter:
		return 0
	case f.wire.stopped, longEnough && !f.wire.movesOn:
		return Held
	case f.wire.movesOn && !longEnough:
		return 0
	default:
		return MayBeHeld
	}
}

// flush hands on what waits, as what the row has come to be.
func (f *heldFilter) flush(next func(Sample)) {
	if len(f.waiting) == 0 {
		return
	}
	mark := f.mark()
	for _, s := range f.waiting {
		s.Mark |= mark
		next(s)
	}
	f.waiting = f.waiting[:0]
}

// wireInRow is what the readings of the wire speed say while voltage and current stand.
type wireInRow struct {
	speed   float64 // last reading; 0 is none yet, or none fed
	before  float64 // the last one before the row
	movesOn bool    // it is fed, and its readings change
	stopped bool    // it was fed before the row, and stopped
}

// Shares of the speed before the row. A reading below wireStands is none of a wire
// that is fed; one above wireFed is. Ours, no source.
const wireStands, wireFed = 0.1, 0.5

func (w *wireInRow) beginRow() { w.before, w.movesOn, w.stopped = w.speed, false, false }

func (w *wireInRow) read(speed float64) {
	if w.before > 0 {
		w.stopped = speed < wireStands*w.before
		w.movesOn = w.movesOn && !w.stopped || speed != w.speed && speed >= wireFed*w.before && w.speed >= wireFed*w.before
	}
	w.speed = speed
}

// WireSpeed takes a reading of the wire speed, in the order of the ticks.
func (d *Detector) WireSpeed(speed float64) { d.held.wire.read(speed) }
