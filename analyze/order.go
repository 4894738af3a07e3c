package analyze

import (
	"math"

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

// summed marks an item of the samples that stands for the next of the windows.
const summed arc.Mark = 1 << 7

// reading is one value of a slow channel, and who wants it.
type reading struct {
	tick  int64
	take  func(tick int64, value float64)
	value float64
}

// turnCount is what a counter of turns stood at.
type turnCount struct{ tick, count int64 }

// taker takes what came, in the order of the ticks; a *pass.Splitter does.
type taker interface {
	Samples(x []arc.Sample)
	Window(w arc.Window)
	Turn(tick, count int64)
}

// order puts into the order of their ticks what comes in blocks, and turns codes into
// values. Each kind waits in a queue of its own.
type order struct {
	instruments *instruments
	taker       taker

	samples  queue[arc.Sample]
	windows  queue[arc.Window]
	readings queue[reading]
	turns    queue[turnCount]

	newest  int64 // latest tick of samples and windows
	any     bool
	done    int64 // latest tick that was handed on
	late    int64 // turn counts that came too late
	flagged bool  // the source has an arc flag
}

// block takes a block, and hands on what has waited long enough.
func (o *order) block(b *series.Block) {
	switch b.Kind {
	case series.Arc:
		o.pushSamples(b)
	case series.Sums:
		o.pushWindow(b)
	case series.Slow:
		o.pushReadings(b)
	case series.Turn:
		o.pushTurns(b)
	}
	if o.any {
		o.drain(o.newest - lag)
	}
}

// newEpoch hands everything on, and begins with another clock.
func (o *order) newEpoch() {
	o.drainAll()
	o.done, o.any = minTick, false
}

// drainAll hands on everything that waits.
func (o *order) drainAll() {
	o.drain(maxTick)
	o.before(maxTick)
}

// pushSamples takes a block of voltage and current.
func (o *order) pushSamples(b *series.Block) {
	if len(b.V) == 0 {
		return
	}
	averaged, flagged := o.averaged(b), b.Flag != nil
	o.flagged = o.flagged || flagged
	samples := o.samples.grow(len(b.V))
	var in holding
	var voltage, current calib.Line
	newest := b.At(0)
	for k := range samples {
		tick := b.At(k)
		if tick < in.from || tick >= in.until { // also at the first one
			in = o.instruments.holdingAt(b.Epoch, tick)
			voltage, current = in.voltage, in.current
		}
		samples[k] = arc.Sample{Tick: tick, V: voltage.Of(float64(b.V[k])), I: current.Of(float64(b.I[k])), Mark: averaged}
		if flagged {
			samples[k].Mark |= flag(b.Flag[k])
		}
		newest = max(newest, tick)
	}
	longest := b.Step + b.Step/2
	if b.Break || (b.Ticks == nil && b.Step > 0 && o.any && b.Tick-o.newest > longest) {
		samples[0].Mark |= arc.Break
	}
	if !o.any || newest > o.newest {
		o.newest, o.any = newest, true
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
func (o *order) averaged(b *series.Block) arc.Mark {
	for _, c := range o.instruments.source.Channels[:2] {
		if c.Basis != series.Instantaneous {
			return arc.Averaged
		}
	}
	if b.Ticks == nil && b.Step > slowest {
		return arc.Averaged
	}
	return 0
}

// pushWindow takes a window of sums, which are of codes.
func (o *order) pushWindow(b *series.Block) {
	s := b.Sum
	if s.Count == 0 {
		return
	}
	n := float64(s.Count)
	in := o.instruments.holdingAt(b.Epoch, b.Tick)
	v, i := in.voltage, in.current
	product := calib.SumOfProducts(v, i, n, float64(s.VI), float64(s.V), float64(s.I))
	w := arc.Window{
		Start: b.Tick, End: b.Tick + int64(s.Count)*b.Step, Arc: int64(s.ArcOn) * b.Step,
		Energy: product * float64(b.Step) * 1e-9,
		V:      v.MeanOf(float64(s.V), n), I: i.MeanOf(float64(s.I), n),
		Wire: float64(s.WireCount) * o.instruments.source.WirePerCount, Break: b.Break,
	}
	o.windows.push(w)
	o.samples.push(arc.Sample{Tick: w.End, Mark: summed})
	if !o.any || w.End > o.newest {
		o.newest, o.any = w.End, true
	}
}

// pushReadings takes readings of the slow channels that the analysis uses.
func (o *order) pushReadings(b *series.Block) {
	for k, value := range b.Value {
		slow := o.instruments.holdingAt(b.Epoch, b.At(k)).slow
		if c := int(b.Channel[k]); c < len(slow) && slow[c].take != nil {
			o.readings.push(reading{b.At(k), slow[c].take, slow[c].toSI(value)})
		}
	}
}

func (o *order) pushTurns(b *series.Block) {
	for k, count := range b.Count {
		tick := b.At(k)
		if tick <= o.done {
			o.late++
		}
		o.turns.push(turnCount{tick, count})
	}
}

// drain hands on everything up to a tick, in the order of the ticks; at one
// tick the turn count comes first, then slow readings, then the sample.
func (o *order) drain(until int64) {
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
	o.samples.tidy()
	o.windows.tidy()
	o.readings.tidy()
	o.turns.tidy()
}

// untilNext takes the samples at the front of their queue up to a tick that come
// before anything in another queue.
func (o *order) untilNext(until int64) []arc.Sample {
	if t := o.turns.next(); t != nil {
		until = min(until, t.tick-1)
	}
	if s := o.readings.next(); s != nil {
		until = min(until, s.tick-1)
	}
	waiting := o.samples.items[o.samples.front:]
	n, done := 0, o.done
	for n < len(waiting) && waiting[n].Tick <= until && waiting[n].Mark&summed == 0 {
		done = max(done, waiting[n].Tick)
		n++
	}
	o.done = done
	o.samples.front += n
	return waiting[:n]
}

// before hands on turn counts and readings up to and including a tick.
func (o *order) before(tick int64) {
	for t := o.turns.next(); t != nil && t.tick <= tick; t = o.turns.next() {
		o.taker.Turn(t.tick, t.count)
		o.turns.take()
	}
	for s := o.readings.next(); s != nil && s.tick <= tick; s = o.readings.next() {
		s.take(s.tick, s.value)
		o.readings.take()
	}
}
