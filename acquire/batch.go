package acquire

import "arctally/acquire/series"

// batch joins blocks of samples that continue one another into one, so that
// the sinks are called once for many frames. Its slices are made once.
type batch struct {
	block series.Block // of kind Arc
	begun bool
	ticks []int64 // the storage of block.Ticks
	next  int64   // ns, the tick at which an evenly spaced block goes on
}

// takes reports whether a block may be added: the samples of text links come
// one by one with a tick each, those of frames at equal steps.
func (a *batch) takes(b *series.Block) bool {
	if b.Kind != series.Arc || b.Flag != nil || b.Ticks != nil {
		return false
	}
	if !a.begun {
		return true
	}
	if b.Break || b.Epoch != a.block.Epoch || b.Step != a.block.Step ||
		a.block.Len()+b.Len() > longestBatch || b.End()-a.block.Tick > widestBatch {
		return false
	}
	if b.Step == 0 {
		return b.Tick >= a.next
	}
	return b.Tick == a.next
}

// add adds a block that takes allowed.
func (a *batch) add(b *series.Block) {
	if !a.begun {
		a.begin(b)
	}
	a.block.V = append(a.block.V, b.V...)
	a.block.I = append(a.block.I, b.I...)
	if b.Step == 0 {
		for range b.V {
			a.ticks = append(a.ticks, b.Tick)
		}
		a.block.Ticks = a.ticks
	}
	a.next = b.Tick + int64(b.Len())*b.Step
}

func (a *batch) begin(b *series.Block) {
	if a.block.V == nil {
		a.block.V = make([]int32, 0, longestBatch)
		a.block.I = make([]int32, 0, longestBatch)
		a.ticks = make([]int64, 0, longestBatch)
	}
	a.block = series.Block{
		Kind: series.Arc, Epoch: b.Epoch, Break: b.Break, Tick: b.Tick, Step: b.Step,
		V: a.block.V[:0], I: a.block.I[:0],
	}
	a.ticks = a.ticks[:0]
	a.begun = true
}

// take returns what was joined, or nil, and begins anew.
func (a *batch) take() *series.Block {
	if !a.begun {
		return nil
	}
	a.begun = false
	return &a.block
}
