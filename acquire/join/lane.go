package join

import (
	"math"
	"time"

	"arctally/acquire/series"
)

// How much later than its tick something may come from its own box, in ns.
const (
	// slowAllowed is less than what the analysis lets a reading come after the samples.
	slowAllowed = int64(400 * time.Millisecond)
	// countsAllowed is for how long a box may gather counts (sensor link, TURN). The
	// analysis waits longer for them.
	countsAllowed = int64(5 * time.Second)
)

// item is a reading, a count or an event of a box.
type item struct {
	epoch int   // as its box says
	tick  int64 // as its box says
	said  int   // number of the description under which it was said
	what  kind

	channel uint8
	value   float64
	count   int64
	event   series.Event

	placed bool
	at     place // on the clock of box 0
	key    place
}

// kind tells which fields of an item are in use.
type kind uint8

const (
	reading kind = iota
	count
	event
)

// lane is what waits of one kind of one box.
type lane struct {
	items   []item
	front   int
	allowed int64
	last    place // key of the newest that was placed
}

// The lanes of a box, in the order in which they are handed on at one key. A record does
// not tell the order of what stands in two of them.
const (
	marks = iota // where its counts stood at the reference mark
	news         // what became known of its clock
	slow
	turns
	lanes
)

func newLane(allowed int64) lane { return lane{allowed: allowed, last: nowhere} }

func (l *lane) push(x item) { l.items = append(l.items, x) }

// head is the next one, nil where there is none.
func (l *lane) head() *item {
	if l.front == len(l.items) {
		return nil
	}
	return &l.items[l.front]
}

func (l *lane) take() {
	l.front++
	if l.front == len(l.items) {
		l.items, l.front = l.items[:0], 0
	} else if l.front > 1024 && l.front > len(l.items)/2 {
		l.items, l.front = l.items[:copy(l.items, l.items[l.front:])], 0
	}
}

// put gives the head its place, and with it its key.
func (l *lane) put(at place) {
	h := l.head()
	h.placed, h.at = true, at
	h.key = later(l.last, place{at.epoch, plus(at.tick, l.allowed)})
	l.last = h.key
}

// plus adds to a tick without going over the end of time.
func plus(tick, more int64) int64 {
	if tick > math.MaxInt64-more {
		return math.MaxInt64
	}
	return tick + more
}

// piece is a block of voltage and current, or of sums, of box 0, or a description of it.
type piece struct {
	block series.Block // what is left of it
	store series.Block // the memory of it
	said  int          // number of a description; then there is no block
	floor place        // its key is no lower
}

// key is when what is left of the piece is handed on: a sample at its tick, a window at
// its end.
func (p *piece) key() place {
	if p.said > 0 {
		return p.floor
	}
	first := p.block.At(0)
	if p.block.Kind == series.Sums {
		first = p.block.End()
	}
	return later(p.floor, place{p.block.Epoch, first})
}

// upTo is how many of the samples come before a key; at least one.
func (p *piece) upTo(key place) int {
	b := &p.block
	n := b.Len()
	if b.Kind == series.Sums || b.Epoch < key.epoch {
		return n
	}
	if b.Ticks == nil && b.Step > 0 {
		return int(min(int64(n), max(1, (key.tick-b.Tick+b.Step-1)/b.Step)))
	}
	for k := 1; k < n; k++ {
		if b.At(k) >= key.tick {
			return k
		}
	}
	return n
}

// cut takes the first n samples off what is left.
func (p *piece) cut(n int) (first series.Block) {
	b := &p.block
	first = *b
	first.V, first.I = b.V[:n], b.I[:n]
	if b.Flag != nil {
		first.Flag, b.Flag = b.Flag[:n], b.Flag[n:]
	}
	b.Tick = b.At(n)
	if b.Ticks != nil {
		first.Ticks, b.Ticks = b.Ticks[:n], b.Ticks[n:]
	}
	b.V, b.I, b.Break = b.V[n:], b.I[n:], false
	return first
}

// pieces are those that wait, and the memory of those that do not any more.
type pieces struct {
	items []*piece
	front int
	spare []*piece
}

func (q *pieces) head() *piece {
	if q.front == len(q.items) {
		return nil
	}
	return q.items[q.front]
}

func (q *pieces) push(b *series.Block, said int, floor place) {
	p := new(piece)
	if n := len(q.spare); n > 0 {
		p, q.spare = q.spare[n-1], q.spare[:n-1]
	}
	p.said, p.floor = said, floor
	if b != nil {
		p.store.CopyFrom(b)
		p.block = p.store
	}
	q.items = append(q.items, p)
}

func (q *pieces) take() {
	q.spare = append(q.spare, q.items[q.front])
	q.front++
	if q.front == len(q.items) {
		q.items, q.front = q.items[:0], 0
	} else if q.front > 1024 && q.front > len(q.items)/2 {
		q.items, q.front = q.items[:copy(q.items, q.items[q.front:])], 0
	}
}

// mostTick is so far off, in ns, that two ticks still have a difference; minTick is the
// other end.
const (
	mostTick = 1 << 62
	minTick  = -mostTick
)

// inTime reports whether all ticks of a block are times, and go together with what else
// it has.
func inTime(b *series.Block) bool {
	n := int64(b.Len())
	if b.Ticks != nil && int64(len(b.Ticks)) != n || b.Step < 0 {
		return false
	}
	if b.Ticks == nil {
		count := max(n, int64(b.Sum.Count))
		return (count <= 1 || b.Step <= mostTick/count) && b.Tick >= minTick && b.Tick <= mostTick-b.Step*max(count, 1)
	}
	for _, tick := range b.Ticks {
		if tick < minTick || tick > mostTick {
			return false
		}
	}
	return b.Step <= mostTick/2
}
