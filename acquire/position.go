package acquire

import (
	"arctally/acquire/series"
)

// position is how far the samples of the present epoch have come.
type position struct {
	tick  int64 // ns, of the last sample of arc or sums
	known bool  // there was one
	begun [series.Turn + 1]bool
	start [series.Turn + 1]int64 // ns, of the last block of each kind
}

// sight takes the tick of any frame for the position while there is no sample.
func (p *position) sight(tick int64) {
	if !p.known {
		p.tick = tick
	}
}

// isBack reports whether a block begins before the one of its kind before it.
// Starts are compared, not a start with an end: a step in whole microseconds
// makes the end of a block reach a little into the next.
func (p *position) isBack(b *series.Block) bool {
	return p.begun[b.Kind] && b.Tick < p.start[b.Kind]
}

func (p *position) moveTo(b *series.Block) {
	p.tick, p.known = b.End(), true
	p.begun[b.Kind], p.start[b.Kind] = true, b.Tick
}

func isArcOrSums(b *series.Block) bool { return b.Kind == series.Arc || b.Kind == series.Sums }
