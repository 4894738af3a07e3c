package analyze

import (
	"math"

	"arctally/acquire/calib"
	"arctally/acquire/series"
	"arctally/analyze/arc"
)

// pushSamples takes a block of voltage and current.
func (o *order) pushSamples(b *series.Block) {
	averaged, flagged := o.averaged(b), b.Flag != nil
	o.flagged = o.flagged || flagged
	samples := o.samples.grow(len(b.V))
	in := o.instruments.holdingAt(b.Epoch, b.At(0))
	voltage, current := in.voltage, in.current
	if o.worth != nil {
		o.worth(voltage, current, b)
	}
	newest, n := b.At(0), 0
	if b.Ticks == nil && b.Step >= 0 && !flagged && !o.broken && len(b.V) > 0 {
		n = evenly(samples, b, in, averaged)
		newest = b.At(max(0, n-1))
	}
	o.rising = n > 0 && n == len(b.V) && o.risesTo(b)
	for k := n; k < len(b.V); k++ {
		tick := b.At(k)
		if tick < in.from || tick >= in.until {
			in = o.instruments.holdingAt(b.Epoch, tick)
			voltage, current = in.voltage, in.current
		}
		s := arc.Sample{Tick: tick, V: voltage.Of(float64(b.V[k])), I: current.Of(float64(b.I[k])), Mark: averaged}
		newest = max(newest, tick)
		if !(math.Abs(s.V) <= mostVolts && math.Abs(s.I) <= mostAmperes) { // nor is it no number
			o.beyond, o.broken = o.beyond+1, true
			continue
		}
		if flagged {
			s.Mark |= flag(b.Flag[k])
		}
		if o.broken {
			s.Mark, o.broken = s.Mark|arc.Break, false
		}
		samples[n] = s
		n++
	}
	o.samples.items = o.samples.items[:len(o.samples.items)-len(samples)+n]
	longest := b.Step + b.Step/2
	if b.Break || (b.Ticks == nil && b.Step > 0 && o.follows && b.Tick-o.pushed > longest) {
		if n > 0 {
			samples[0].Mark |= arc.Break
		} else {
			o.broken = true
		}
	}
	if !o.follows || newest > o.pushed {
		o.pushed, o.follows = newest, true
	}
}

// risesTo reports whether the ticks of the samples that wait, and those of a block at equal
// steps behind them, never step back; far apart as ticks may be, some wrap around.
func (o *order) risesTo(b *series.Block) bool {
	waiting := o.samples.items[o.samples.front : len(o.samples.items)-len(b.V)]
	if n := len(waiting); n > 0 && (!o.rising || waiting[n-1].Tick > b.Tick) {
		return false
	}
	last := b.At(len(b.V) - 1)
	return b.Step == 0 || last >= b.Tick && uint64(last-b.Tick)/uint64(b.Step) == uint64(len(b.V)-1)
}

// evenly makes samples of a block that has nothing but codes at equal steps and is under
// one calibration, up to the first that is no sample, and returns how many: the same as
// sample by sample, but quicker.
func evenly(samples []arc.Sample, b *series.Block, in holding, mark arc.Mark) (n int) {
	if b.Tick < in.from || b.At(len(b.V)-1) >= in.until {
		return 0
	}
	voltage, current, tick := in.voltage, in.current, b.Tick
	amperes := b.I[:len(b.V)]
	samples = samples[:len(b.V)]
	for k, code := range b.V {
		v, i := voltage.Of(float64(code)), current.Of(float64(amperes[k]))
		if !(v >= -mostVolts && v <= mostVolts && i >= -mostAmperes && i <= mostAmperes) {
			return k
		}
		s := &samples[k]
		s.Tick, s.V, s.I, s.Mark = tick, v, i, mark
		tick += b.Step
	}
	return len(b.V)
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
	n := float64(s.Count)
	in := o.instruments.holdingAt(b.Epoch, b.Tick)
	v, i := in.voltage, in.current
	product := calib.SumOfProducts(v, i, n, float64(s.VI), float64(s.V), float64(s.I))
	w := arc.Window{
		Start: b.Tick, End: b.Tick + int64(s.Count)*b.Step, Arc: int64(s.ArcOn) * b.Step,
		Energy: product * float64(b.Step) * 1e-9,
		V:      v.MeanOf(float64(s.V), n), I: i.MeanOf(float64(s.I), n),
		Wire: float64(s.WireCount) * o.instruments.source.WirePerCount, Break: b.Break,
		Averaged: o.averaged(b) != 0,
	}
	o.windows.push(w)
	o.samples.push(arc.Sample{Tick: w.End, Mark: summed})
	o.rising = false
	if !o.follows || w.End > o.pushed {
		o.pushed, o.follows = w.End, true
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
		if tick <= o.done && o.settled() != maxTick {
			o.late++
		}
		o.taker.Count(tick, count)
		o.turns.push(tick)
	}
}
