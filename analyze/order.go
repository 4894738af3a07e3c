package analyze

import (
	"math"
	"sort"

	"arctally/acquire/calib"
	"arctally/acquire/series"
	"arctally/analyze/arc"
	"arctally/analyze/pass"
)

// lag is how long, in ns on the source's clock, a sample waits for slower
// channels that belong before it. For turn counts it waits longer, until it is settled
// where the torch was; one that comes later still is counted.
const lag = 500_000_000

// The ends of time.
const (
	minTick = math.MinInt64
	maxTick = math.MaxInt64
)

// summed marks an item of the samples that stands for the next of the windows.
const summed arc.Mark = 1 << 7

// reading is one value of a slow channel, and who wants it.
type reading struct {
	tick  int64
	take  func(tick int64, value float64)
	value float64
}

// taker takes what came, in the order of the ticks; a *pass.Splitter does.
type taker interface {
	Samples(x []arc.Sample)
	Window(w arc.Window)
	// Count takes a count at once; Turn says when the samples have come to its tick.
	Count(tick, count int64)
	Turn(tick int64)
	// Settled is the tick up to which the counts that have come say all.
	Settled(newest int64) int64
}

// order puts into the order of their ticks what comes in blocks, and turns codes into
// values. Each kind waits in a queue of its own.
type order struct {
	instruments *instruments
	taker       taker

	samples  queue[arc.Sample]
	rising   bool // their ticks never step back, and none stands for a window
	windows  queue[arc.Window]
	readings queue[reading]
	turns    queue[int64] // ticks of turn counts

	worth   func(voltage, current calib.Line, of *series.Block) // hears what codes are worth; nil where nobody does
	ahead   bool                                                // samples do not wait for the counts after them
	waiting queue[series.Block]
	taken   int            // samples of the first that waits which no longer do
	spare   []series.Block // memory of those that no longer wait
	missed  bool           // the next block of samples follows one that is not used

	newest  int64 // latest tick of samples and windows
	any     bool
	pushed  int64 // of those that do not wait any more
	follows bool  // there are some
	done    int64 // latest tick that was handed on
	late    int64 // turn counts that came too late
	beyond  int64 // samples that no arc can have
	broken  bool  // the next sample does not follow the last
	flagged bool  // the source has an arc flag
}

// block takes a block, and hands on what has waited long enough.
func (o *order) block(b *series.Block) {
	switch b.Kind {
	case series.Arc, series.Sums:
		o.wait(b)
	case series.Slow:
		o.pushReadings(b)
	case series.Turn:
		o.pushTurns(b)
	}
	if o.any {
		o.drain(min(o.newest-lag, o.settled()))
	}
}

// settled is the tick up to which samples need not wait for counts.
func (o *order) settled() int64 {
	if o.ahead {
		return maxTick
	}
	return o.taker.Settled(o.newest)
}

// wait keeps samples, or a window, until it is settled where the torch was. They wait as
// codes, which are small.
func (o *order) wait(b *series.Block) {
	last, any := lastOf(b)
	if !any {
		return
	}
	if !o.any || last > o.newest {
		o.newest, o.any = last, true
	}
	if o.missed && b.Kind == series.Arc {
		after := *b
		after.Break, o.missed = true, false
		b = &after
	}
	if o.waiting.next() == nil && o.settled() >= o.newest {
		o.push(b)
		return
	}
	var own series.Block
	if n := len(o.spare); n > 0 {
		own, o.spare = o.spare[n-1], o.spare[:n-1]
	}
	own.CopyFrom(b)
	o.waiting.push(own)
}

// lastOf is the latest tick of samples, or the end of a window; false where there is none.
func lastOf(b *series.Block) (last int64, any bool) {
	if b.Kind == series.Sums {
		return b.End(), b.Sum.Count > 0
	}
	if b.Ticks == nil && b.Step >= 0 {
		return b.At(max(0, len(b.V)-1)), len(b.V) > 0
	}
	for k := range b.V {
		if tick := b.At(k); k == 0 || tick > last {
			last = tick
		}
	}
	return last, len(b.V) > 0
}

// pieceLength is how many samples become values at once: they are handed on while they are
// in the processor's nearest memory.
const pieceLength = 1024

// release makes values of a piece of what has waited up to a tick; false where nothing has.
func (o *order) release(until int64) bool {
	b := o.waiting.next()
	if b == nil || b.At(o.taken) > until {
		return false
	}
	if n := len(b.V); b.Kind == series.Arc && b.Ticks == nil && b.Step > 0 {
		reach := uint64(until-b.At(o.taken))/uint64(b.Step) + 1 // two ticks may be further apart than an int64 says
		if left := n - o.taken; reach < uint64(left) || pieceLength < left {
			o.piece(b, o.taken+int(min(reach, pieceLength)))
			return true
		}
		o.piece(b, n)
	} else {
		o.push(b)
	}
	o.taken = 0
	o.spare = append(o.spare, *b)
	o.waiting.take()
	return true
}

// piece makes values of the samples of a block that are next, up to one of them.
func (o *order) piece(b *series.Block, to int) {
	from := o.taken
	part := *b
	part.Tick, part.Break = b.At(from), b.Break && from == 0
	part.V, part.I = b.V[from:to], b.I[from:to]
	if b.Flag != nil {
		part.Flag = b.Flag[from:to]
	}
	o.taken = to
	o.push(&part)
}

func (o *order) push(b *series.Block) {
	if b.Kind == series.Sums {
		o.pushWindow(b)
		return
	}
	o.pushSamples(b)
}

// newEpoch hands everything on, and begins with another clock.
func (o *order) newEpoch() {
	o.drainAll()
	o.done, o.any, o.follows = minTick, false, false
}

// past is the place after all that has come, in an epoch.
func (o *order) past(epoch int) pass.Moment {
	if !o.any {
		return pass.Moment{Epoch: epoch, Tick: minTick}
	}
	return pass.Moment{Epoch: epoch, Tick: o.newest + 1}
}

// drainAll hands on everything that waits.
func (o *order) drainAll() {
	o.drain(maxTick)
	o.before(maxTick)
}

// drain hands on everything up to a tick, in the order of the ticks; at one
// tick the turn count comes first, then slow readings, then the sample.
func (o *order) drain(until int64) {
	for o.release(until) {
		o.handOn(until)
	}
	o.handOn(until)
	o.samples.tidy()
	o.windows.tidy()
	o.readings.tidy()
	o.turns.tidy()
	o.waiting.tidy()
}

// handOn hands on the values up to a tick.
func (o *order) handOn(until int64) {
	for item := o.samples.next(); item != nil && item.Tick <= until; item = o.samples.next() {
		o.before(item.Tick)
		if item.Mark&summed != 0 {
			o.done = max(o.done, item.Tick)
			o.taker.Window(*o.windows.next())
			o.windows.take()
			o.samples.take()
			continue
		}
		o.taker.Samples(o.untilNext(until))
	}
	if o.samples.next() == nil {
		o.samples.tidy()
	}
}

// untilNext takes the samples at the front of their queue up to a tick that come
// before anything in another queue.
func (o *order) untilNext(until int64) []arc.Sample {
	if t := o.turns.next(); t != nil {
		until = min(until, *t-1)
	}
	if s := o.readings.next(); s != nil {
		until = min(until, s.tick-1)
	}
	waiting := o.samples.items[o.samples.front:]
	n, done := 0, o.done
	if o.rising {
		n = risen(waiting, until)
		done = max(done, waiting[n-1].Tick)
	}
	for n < len(waiting) && waiting[n].Tick <= until && waiting[n].Mark&summed == 0 {
		done = max(done, waiting[n].Tick)
		n++
	}
	o.done = done
	o.samples.front += n
	return waiting[:n]
}

// risen returns how many samples, whose ticks never step back, come up to a tick: all of
// them, nearly always.
func risen(x []arc.Sample, until int64) int {
	if n := len(x); x[n-1].Tick <= until {
		return n
	}
	return sort.Search(len(x), func(k int) bool { return x[k].Tick > until })
}

// before hands on turn counts and readings up to and including a tick.
func (o *order) before(tick int64) {
	for t := o.turns.next(); t != nil && *t <= tick; t = o.turns.next() {
		o.taker.Turn(*t)
		o.turns.take()
	}
	for s := o.readings.next(); s != nil && s.tick <= tick; s = o.readings.next() {
		s.take(s.tick, s.value)
		o.readings.take()
	}
}
