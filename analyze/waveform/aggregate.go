package waveform

import (
	"math"

	"arctally/acquire/quantity"
)

// sums are the power sums of a feature. They can be taken off again, and the
// spreads here are no small parts of their means, so that nothing is lost.
type sums struct{ n, sum, square float64 }

func (s *sums) add(x float64) {
	s.n++
	s.sum += x
	s.square += x * x
}

func (s *sums) join(o sums, sign float64) {
	s.n += sign * o.n
	s.sum += sign * o.sum
	s.square += sign * o.square
}

func (s sums) mean() float64 { return s.sum / s.n }

func (s sums) spread() float64 {
	return math.Sqrt(max(0, (s.square-s.sum*s.sum/s.n)/(s.n-1)))
}

// total is the sum of a feature, and of how many.
type total struct{ n, sum float64 }

func (s *total) add(x float64) {
	s.n++
	s.sum += x
}

func (s *total) join(o total, sign float64) {
	s.n += sign * o.n
	s.sum += sign * o.sum
}

func (s total) mean() float64 { return s.sum / s.n }

// aggregate is what some arc time sums up; times are in ns.
type aggregate struct {
	volts              [bins]uint32
	samples            int64
	time, known, short int64
	area, power        float64 // V*ns, V*A*ns
	slow               total   // V, how far each mean over 10 ms lies from the one before it
	charge, square     float64 // A*ns, A^2*ns
	transfers, stubs   int
	lengths            lengths
	gains              total // A, from the beginning of a transfer to its end

	modes  [len(modes)]int64 // ns of looks in each mode
	untold int64             // ns of looks in none
	pulses pulses

	lasted, arcs, cycles sums // ns
	peaks, rises         sums // A, A/s
	sparks               sums // V
}

// add takes in another one, or takes it off.
func (t *aggregate) add(o *aggregate, sign int) {
	for k, n := range o.volts {
		t.volts[k] += uint32(sign) * n
	}
	s := int64(sign)
	t.samples += s * o.samples
	t.time += s * o.time
	t.known += s * o.known
	t.short += s * o.short
	t.area += float64(sign) * o.area
	t.power += float64(sign) * o.power
	t.slow.join(o.slow, float64(sign))
	t.gains.join(o.gains, float64(sign))
	t.charge += float64(sign) * o.charge
	t.square += float64(sign) * o.square
	t.transfers += sign * o.transfers
	t.stubs += sign * o.stubs
	for k, n := range o.lengths {
		t.lengths[k] += uint32(sign) * n
	}
	for k, n := range o.modes {
		t.modes[k] += s * n
	}
	t.untold += s * o.untold
	t.pulses.add(&o.pulses, sign)
	for _, p := range [][2]*sums{
		{&t.lasted, &o.lasted},
		{&t.arcs, &o.arcs},
		{&t.cycles, &o.cycles},
		{&t.peaks, &o.peaks},
		{&t.rises, &o.rises},
		{&t.sparks, &o.sparks},
	} {
		p[0].join(*p[1], float64(sign))
	}
}

// statistics returns what it comes to in a mode, nil where most of it is not known.
func (t *aggregate) statistics(l *levels, mode Mode, stub int64) *Statistics {
	if mode == "" {
		return nil
	}
	time := float64(t.time)
	s := &Statistics{
		Mode: mode, Step: quantity.Seconds(time / float64(t.samples) * 1e-9), Known: quantity.Seconds(time * 1e-9),
		Voltage95: quantity.Volts(t.quantile(0.95)),
		Current:   quantity.Amperes(t.charge / time), RMS: quantity.Amperes(math.Sqrt(t.square / time)),
	}
	switch {
	case mode == Pulsed:
		t.pulses.tell(s)
	case t.shortsKnown(l):
		t.shorts(s, l, stub)
	}
	if mode == Spray || mode == Globular {
		s.Unrest = new(quantity.Ratio(t.unrest()))
	}
	return s
}

// shorts adds what the shorts come to.
func (t *aggregate) shorts(s *Statistics, l *levels, stub int64) {
	known := float64(t.known) * 1e-9
	s.ShortsTold, s.Known = true, quantity.Seconds(known)
	s.ShortLevel, s.ArcLevel = quantity.Volts(l.low), quantity.Volts(l.high)
	s.Transfers, s.Transfer = t.transfers, quantity.Hertz(float64(t.transfers)/known)
	s.ShortShare = quantity.Ratio(float64(t.short) / float64(t.known))
	s.Stubs, s.StubLimit = t.stubs, quantity.SecondsOf(stub)
	if t.cycles.n > 1 {
		s.Instability = new(quantity.Ratio(t.cycles.spread() / t.cycles.mean()))
	}
	if float64(t.time) <= 1.01*fineStep*float64(t.samples) {
		t.fine(s, known)
	}
}

// fine adds what only fast samples tell.
func (t *aggregate) fine(s *Statistics, known float64) {
	s.Shorts = new(int(t.lasted.n))
	s.ShortRate = new(quantity.Hertz(t.lasted.n / known))
	s.ShortTime, s.ShortSpread = meanOf[quantity.Seconds](t.lasted, 1e-9)
	s.ArcTime, s.ArcSpread = meanOf[quantity.Seconds](t.arcs, 1e-9)
	s.PeakCurrent, s.PeakSpread = meanOf[quantity.Amperes](t.peaks, 1)
	if t.rises.n > 0 {
		s.RiseRate = new(t.rises.mean())
	}
	s.Reignition, _ = meanOf[quantity.Volts](t.sparks, 1)
}

// meanOf returns mean and spread in a unit, nil where there are too few.
func meanOf[Q quantity.Quantity](s sums, unit float64) (mean, spread *Q) {
	if s.n > 0 {
		mean = new(Q(s.mean() * unit))
	}
	if s.n > 1 {
		spread = new(Q(s.spread() * unit))
	}
	return mean, spread
}

// quantile returns the voltage below which a share of the samples is, to a
// fraction of a bin.
func (t *aggregate) quantile(share float64) float64 {
	want, below := share*float64(t.samples), 0.0
	for k, n := range t.volts {
		if below+float64(n) >= want && n > 0 {
			return (float64(k) + (want-below)/float64(n)) / binsPerVolt
		}
		below += float64(n)
	}
	return 0
}
