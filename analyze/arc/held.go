package arc

// heldFilter finds the times in which a source only repeats its last values, and
// marks their samples.
//
// A source that measures anew every refresh interval says nothing about the arc
// for longer than that, so a row of equal readings counts as arc for credit at
// most (series.Source.HeldArc). A row no longer than heldAfter is chance: fresh
// values that were equal. A row that was there from the first sample on was
// never fresh, and has no credit.
//
// Samples between credit and heldAfter wait here until the row shows which it is.
type heldFilter struct {
	credit, heldAfter int64

	inRow    bool
	unseen   bool // the row was not seen to begin
	held     bool
	rowStart int64
	v, i     float64
	waiting  []Sample
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
		f.inRow, f.held = true, false
		f.rowStart, f.v, f.i = s.Tick, s.V, s.I
	}
	age := s.Tick - f.rowStart
	switch {
	case f.held:
		s.Mark |= Held
		next(s)
	case age <= f.credit && !f.unseen:
		next(s)
	case age <= f.heldAfter:
		f.waiting = append(f.waiting, s)
	default:
		f.held = true
		for k := range f.waiting {
			f.waiting[k].Mark |= Held
		}
		f.flush(next)
		s.Mark |= Held
		next(s)
	}
}

// flush hands on what waits, as it is.
func (f *heldFilter) flush(next func(Sample)) {
	for _, s := range f.waiting {
		next(s)
	}
	f.waiting = f.waiting[:0]
}
