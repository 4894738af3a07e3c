package arc

import (
	"arctally/acquire/quantity"
	"arctally/acquire/series"
)

// Limits tell arc from no arc.
type Limits struct {
	Current quantity.Amperes // thresholds: at them is in arc
	Voltage quantity.Volts
	Hold    quantity.Seconds // an arc-out that lasts no longer does not end the arc interval
}

// longestStep is how far apart, in ns, two samples may be that follow one another,
// whatever the source says: nobody knows what the arc did for a minute. Ours; common
// practice, no source.
const longestStep = 60_000_000_000

// Detector runs over the samples one by one, tells arc from no arc, and sums up
// the steps that are in arc. Its calls come in the order of the ticks.
type Detector struct {
	current, voltage float64
	hold, maxStep    int64
	tell             func(Event)

	seen  bool
	prev  Sample
	power float64 // of prev
	lit   bool    // prev is in arc

	open bool  // an arc interval is
	last int64 // tick of its last sample in arc

	sums      Sums
	kept      Sums
	out       pause
	bucket    Bucket // its trapezoids as those of the sums: twice as large until it is told of
	bucketEnd int64
	skipped   int64 // samples before the latest tick

	held heldFilter
	step func(Sample) // takes what the filter lets through
	wave wave
	idle idle
}

// pause is what happened since the last sample in arc.
type pause struct{ missing, held int64 } // ns without data, ns at arc-like values

// NewDetector returns a detector that tells what happens while it is given
// samples. It panics where nobody is told.
func NewDetector(limits Limits, tell func(Event)) *Detector {
	if tell == nil {
		panic("arc: a detector that tells nobody")
	}
	d := &Detector{
		current: float64(limits.Current), voltage: float64(limits.Voltage),
		hold: limits.Hold.Nanoseconds(), maxStep: longestStep, tell: tell,
	}
	d.step = d.next
	return d
}

// Source says who speaks from now on. What still waits to show whether it is held
// would wait for ever where nobody looks any more.
func (d *Detector) Source(src series.Source) {
	if src.HeldAfter == 0 && src.MayBeHeldAfter == 0 {
		d.Flush()
	}
	d.held.credit, d.held.heldAfter, d.held.mayBeAfter = src.HeldArc, src.HeldAfter, src.MayBeHeldAfter
	d.wave.source(src)
	d.maxStep = longestStep
	if src.MaxStep > 0 {
		d.maxStep = min(src.MaxStep, longestStep)
	}
}

// Take takes samples from the front of x, one at least, and returns how many.
func (d *Detector) Take(x []Sample) int {
	if d.held.looks() {
		for k := range x {
			d.held.add(x[k], d.step)
		}
		return len(x)
	}
	if n := d.burnOn(x); n > 0 {
		return n
	}
	d.next(x[0])
	return 1
}

// next takes the next sample.
//
// A sample before the latest tick is skipped: the time between the samples
// around it is already covered, and must not be counted twice. One at the same
// tick counts, with a step of no length: a coarse clock stamps several alike.
func (d *Detector) next(s Sample) {
	if !d.seen {
		d.first(s)
		return
	}
	dt := s.Tick - d.prev.Tick
	if dt < 0 {
		d.skipped++
		return
	}
	missing := s.Mark&Break != 0 || dt > d.maxStep
	lit := d.inArc(s, d.lit && dt <= d.hold)
	power := float64(s.V * s.I)
	if lit && d.lit && !missing {
		d.arcStep(s, power, dt)
	} else {
		d.otherStep(s, lit, missing, dt)
	}
	d.prev, d.power, d.lit = s, power, lit
	if d.open && s.Tick >= d.bucketEnd {
		d.closeBucket(s.Tick)
	}
}

// first takes the first sample of an epoch.
func (d *Detector) first(s Sample) {
	d.seen, d.prev, d.power = true, s, float64(s.V*s.I)
	if d.lit = d.inArc(s, false); d.lit {
		d.begin(s.Tick)
	}
}

// inArc judges one sample; burning says that the sample before it was in arc,
// so that current alone is enough: a short circuit is still arc on.
func (d *Detector) inArc(s Sample, burning bool) bool {
	if s.Mark&(FlagOn|FlagOff|Held) != 0 {
		return s.Mark&FlagOn != 0
	}
	return s.I >= d.current && (burning || s.V >= d.voltage)
}

// arcStep adds the step from the last sample to s, both in arc.
func (d *Detector) arcStep(s Sample, power float64, dt int64) {
	ns := float64(dt)
	v, i, energy := float64((d.prev.V+s.V)*ns), float64((d.prev.I+s.I)*ns), float64((d.power+power)*ns)
	d.sums.Arc += dt
	d.sums.meanTime += dt
	d.sums.energy += energy
	d.sums.v += v
	d.sums.i += i
	d.bucket.Arc += dt
	d.bucket.V += v
	d.bucket.I += i
	d.bucket.Energy += energy
	if s.Mark&Averaged == 0 && looks(d.bucketEnd) {
		d.sums.swing.add(&d.prev, []Sample{s})
	}
	if s.Mark&Averaged != 0 {
		d.sums.Averaged = true
	} else if d.wave.hearing != nil {
		d.wave.hearing.Step(s.V, s.I, dt)
	}
	if (s.Mark|d.prev.Mark)&MayBeHeld != 0 {
		d.sums.MayBe += dt
		d.sums.mayBe += energy
		d.tell(Event{Kind: ValuesMayBeHeld, From: d.prev.Tick, Tick: s.Tick})
	}
	d.last = s.Tick
}

// otherStep does the bookkeeping of a step that is not arc time.
func (d *Detector) otherStep(s Sample, lit, missing bool, dt int64) {
	if d.lit {
		d.goOut()
	}
	if missing || lit || s.Mark&Held != 0 {
		d.idle.restart()
	} else {
		d.idle.add(&s, dt)
	}
	if missing {
		d.out.missing += dt
	} else if !lit && s.I >= d.current && s.V >= d.voltage {
		d.out.held += dt
		d.tell(Event{Kind: ValuesHeld, From: d.prev.Tick, Tick: s.Tick})
	}
	switch {
	case lit && d.open && s.Tick-d.last <= d.hold:
		d.resume(s.Tick)
	case lit:
		d.end()
		d.begin(s.Tick)
	case !d.open || s.Tick-d.last > d.hold:
		d.end()
		d.tell(Event{Kind: Cold, Tick: s.Tick, Missing: d.out.missing})
	}
}
