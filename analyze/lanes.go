package analyze

import (
	"math"
	"slices"

	"arctally/acquire/calib"
	"arctally/acquire/series"
	"arctally/analyze/arc"
)

// lag is how long, in ns on the source's clock, a sample waits for slower
// channels that belong before it. A turn count that comes later than this is
// taken into account late, and counted.
const lag = 500_000_000

// The ends of time.
const (
	minTick = math.MinInt64
	maxTick = math.MaxInt64
)

// summed marks an item of the arc lane that stands for the next of the windows.
const summed arc.Mark = 1 << 7

// slowItem is one reading of a slow channel.
type slowItem struct {
	tick  int64
	use   func(r *Run, tick int64, value float64)
	value float64
}

// turnItem is a turn count.
type turnItem struct{ tick, count int64 }

// lanes hold what has come and is not yet in order.
type lanes struct {
	arc     queue[arc.Sample]
	windows queue[arc.Window]
	slow    queue[slowItem]
	turn    queue[turnItem]
	newest  int64 // latest tick of the arc lane
	any     bool
}

// queue keeps items in the order in which they came; next is its front.
type queue[T any] struct {
	items []T
	front int
}

func (q *queue[T]) push(item T) { q.items = append(q.items, item) }

// grow makes room for n items at the back and returns it.
func (q *queue[T]) grow(n int) []T {
	had := len(q.items)
	q.items = slices.Grow(q.items, n)[:had+n]
	return q.items[had:]
}

// next returns the front, nil where the queue is empty.
func (q *queue[T]) next() *T {
	if q.front == len(q.items) {
		return nil
	}
	return &q.items[q.front]
}

// take removes the front.
func (q *queue[T]) take() { q.front++ }

// tidy gives back the room of what was taken, now and then.
func (q *queue[T]) tidy() {
	if q.front > len(q.items)/2 {
		q.items = q.items[:copy(q.items, q.items[q.front:])]
		q.front = 0
	}
}

// pushArc takes a block of voltage and current.
func (r *Run) pushArc(b *series.Block) {
	if len(b.V) == 0 {
		return
	}
	l := &r.lanes
	averaged, flagged := r.averaged(b), b.Flag != nil
	r.flagged = r.flagged || flagged
	samples := l.arc.grow(len(b.V))
	var in span
	var voltage, current calib.Line
	newest := b.At(0)
	for k := range samples {
		tick := b.At(k)
		if tick < in.from || tick >= in.until { // also at the first one
			in = r.spanAt(b.Epoch, tick)
			voltage, current = in.voltage, in.current
		}
		samples[k] = arc.Sample{Tick: tick, V: voltage.Of(float64(b.V[k])), I: current.Of(float64(b.I[k])), Mark: averaged}
		if flagged {
			samples[k].Mark |= flag(b.Flag[k])
		}
		newest = max(newest, tick)
	}
	longest := b.Step + b.Step/2
	if b.Break || (b.Ticks == nil && b.Step > 0 && l.any && b.Tick-l.newest > longest) {
		samples[0].Mark |= arc.Break
	}
	if !l.any || newest > l.newest {
		l.newest, l.any = newest, true
	}
}

func flag(on bool) arc.Mark {
	if on {
		return arc.FlagOn
	}
	return arc.FlagOff
}

// slowest is the longest sample interval, in ns, at which samples of voltage
// and current still give the true power of a dipping arc: 1 kHz.
const slowest = 1_000_000

// averaged tells whether the samples of a block give the true power.
func (r *Run) averaged(b *series.Block) arc.Mark {
	for _, c := range r.source.Channels[:2] {
		if c.Basis != series.Instantaneous {
			return arc.Averaged
		}
	}
	if b.Ticks == nil && b.Step > slowest {
		return arc.Averaged
	}
	return 0
}

// pushSums takes a window of sums, which are of codes.
func (r *Run) pushSums(b *series.Block) {
	l, s := &r.lanes, b.Sum
	if s.Count == 0 {
		return
	}
	n := float64(s.Count)
	in := r.spanAt(b.Epoch, b.Tick)
	v, i := in.voltage, in.current
	product := calib.SumOfProducts(v, i, n, float64(s.VI), float64(s.V), float64(s.I))
	w := arc.Window{
		Start: b.Tick, End: b.Tick + int64(s.Count)*b.Step, Arc: int64(s.ArcOn) * b.Step,
		Energy: product * float64(b.Step) * 1e-9,
		V:      v.MeanOf(float64(s.V), n), I: i.MeanOf(float64(s.I), n),
		Wire: float64(s.WireCount) * r.source.WirePerCount, Break: b.Break,
	}
	l.windows.push(w)
	l.arc.push(arc.Sample{Tick: w.End, Mark: summed})
	if !l.any || w.End > l.newest {
		l.newest, l.any = w.End, true
	}
}

// pushSlow takes readings of the slow channels that the analysis uses.
func (r *Run) pushSlow(b *series.Block) {
	for k, value := range b.Value {
		slow := r.spanAt(b.Epoch, b.At(k)).slow
		if c := int(b.Channel[k]); c < len(slow) && slow[c].use != nil {
			r.lanes.slow.push(slowItem{b.At(k), slow[c].use, slow[c].toSI(value)})
		}
	}
}

func (r *Run) pushTurns(b *series.Block) {
	for k, count := range b.Count {
		tick := b.At(k)
		if tick <= r.done {
			r.late++
		}
		r.lanes.turn.push(turnItem{tick, count})
	}
}

// drain hands on everything up to a tick, in the order of the ticks; at one
// tick the turn count comes first, then slow readings, then the sample.
func (r *Run) drain(until int64) {
	l := &r.lanes
	for item := l.arc.next(); item != nil && item.Tick <= until; item = l.arc.next() {
		r.before(item.Tick)
		if item.Mark&summed != 0 {
			r.done = max(r.done, item.Tick)
			r.splitter.Window(*l.windows.next())
			l.windows.take()
			l.arc.take()
			continue
		}
		r.splitter.Samples(r.untilNext(until))
	}
	l.arc.tidy()
	l.windows.tidy()
	l.slow.tidy()
	l.turn.tidy()
}

// untilNext takes the samples at the front of the arc lane up to a tick that
// come before anything in another lane.
func (r *Run) untilNext(until int64) []arc.Sample {
	l := &r.lanes
	if t := l.turn.next(); t != nil {
		until = min(until, t.tick-1)
	}
	if s := l.slow.next(); s != nil {
		until = min(until, s.tick-1)
	}
	waiting := l.arc.items[l.arc.front:]
	n, done := 0, r.done
	for n < len(waiting) && waiting[n].Tick <= until && waiting[n].Mark&summed == 0 {
		done = max(done, waiting[n].Tick)
		n++
	}
	r.done = done
	l.arc.front += n
	return waiting[:n]
}

// before hands on the slow lanes up to and including a tick.
func (r *Run) before(tick int64) {
	l := &r.lanes
	for t := l.turn.next(); t != nil && t.tick <= tick; t = l.turn.next() {
		r.splitter.Turn(t.tick, t.count)
		l.turn.take()
	}
	for s := l.slow.next(); s != nil && s.tick <= tick; s = l.slow.next() {
		s.use(r, s.tick, s.value)
		l.slow.take()
	}
}
