package pass

import (
	"math"

	"arctally/analyze/waveform"
)

// tracer runs over the samples one by one, tells arc from no arc, sums up the
// steps that are in arc, and reports arc intervals to its splitter.
type tracer struct {
	arcCurrent, arcVoltage float64
	hold, maxStep          int64
	to                     *Splitter

	seen  bool
	prev  Sample
	power float64 // of prev
	in    bool    // prev is in arc

	open      bool  // an arc interval is
	last      int64 // tick of its last sample in arc
	lastTurns float64
	runTurns  float64 // turns where the present run of samples in arc began

	sum       tally
	idle      tally // what happened since the arc interval ended
	bucket    Bucket
	bucketEnd int64
	skipped   int64 // samples before the latest tick

	shape *waveform.Meter // nil where the source is averaged or too slow
}

// step takes the next sample.
//
// A sample before the latest tick is skipped: the time between the samples
// around it is already covered, and must not be counted twice. One at the same
// tick counts, with a step of no length: a coarse clock stamps several alike.
func (t *tracer) step(s Sample) {
	if !t.seen {
		t.start(s)
		return
	}
	dt := s.Tick - t.prev.Tick
	if dt < 0 {
		t.skipped++
		return
	}
	gap := s.Mark&Break != 0 || dt > t.maxStep
	in := t.inArc(s, t.in && dt <= t.hold)
	power := float64(s.V * s.I)
	if in && t.in && !gap {
		t.arcStep(s, power, dt)
	} else {
		t.otherStep(s, in, gap, dt)
	}
	t.prev, t.power, t.in = s, power, in
	if t.open && s.Tick >= t.bucketEnd {
		t.closeBucket(s.Tick)
	}
}

// glide takes the samples at the front of x that go on with the arc and end no
// bucket, and returns how many those are. It does what step does, to the bit,
// with the sums at hand instead of in memory: nearly all samples come this way.
// (The conversions here and there keep products from being fused into sums,
// which some processors would do in one of the two and not in the other.)
func (t *tracer) glide(x []Sample) int {
	if !t.in || !t.open {
		return 0
	}
	longest := min(t.maxStep, t.hold)
	tick, v, i, power := t.prev.Tick, t.prev.V, t.prev.I, t.power
	sum, bucket := t.sum, t.bucket
	n := 0
	for ; n < len(x); n++ {
		s := &x[n]
		dt := s.Tick - tick
		if s.Mark != 0 || s.I < t.arcCurrent || dt < 0 || dt > longest || s.Tick >= t.bucketEnd {
			break
		}
		ns, p := float64(dt), float64(s.V*s.I)
		volts, amperes, energy := float64((v+s.V)*ns), float64((i+s.I)*ns), float64((power+p)*ns)
		sum.arc += dt
		sum.energy += energy
		sum.v += volts
		sum.i += amperes
		bucket.V += volts / 2
		bucket.I += amperes / 2
		bucket.Energy += energy / 2
		if t.shape != nil {
			t.shape.Step(s.V, s.I, dt)
		}
		tick, v, i, power = s.Tick, s.V, s.I, p
	}
	if n == 0 {
		return 0
	}
	sum.meanTime += sum.arc - t.sum.arc
	bucket.Arc += sum.arc - t.sum.arc
	t.sum, t.bucket = sum, bucket
	t.prev, t.power, t.last = x[n-1], power, tick
	return n
}

// lull takes the samples at the front of x that pass while the arc stays out and
// nothing happens, and returns how many those are; the same as step, but quicker.
func (t *tracer) lull(x []Sample) int {
	if t.in || t.open || !t.seen {
		return 0
	}
	tick, until, n := t.prev.Tick, t.to.restsUntil(), 0
	for ; n < len(x); n++ {
		s := &x[n]
		if s.Mark&^Averaged != 0 || s.I >= t.arcCurrent || s.Tick < tick || s.Tick-tick > t.maxStep || s.Tick > until {
			break
		}
		tick = s.Tick
	}
	if n > 0 {
		t.prev, t.power = x[n-1], float64(x[n-1].V*x[n-1].I)
	}
	return n
}

// start takes the first sample of an epoch.
func (t *tracer) start(s Sample) {
	t.seen, t.prev, t.power = true, s, s.V*s.I
	t.in = t.inArc(s, false)
	if t.in {
		t.begin(s.Tick)
	}
}

// inArc judges one sample; burning says that the sample before it was in arc,
// so that current alone is enough: a short circuit is still arc on.
func (t *tracer) inArc(s Sample, burning bool) bool {
	if s.Mark&(FlagOn|FlagOff|Held) != 0 {
		return s.Mark&FlagOn != 0
	}
	return s.I >= t.arcCurrent && (burning || s.V >= t.arcVoltage)
}

// arcStep adds the step from the last sample to s, both in arc.
func (t *tracer) arcStep(s Sample, power float64, dt int64) {
	ns := float64(dt)
	v, i, energy := float64((t.prev.V+s.V)*ns), float64((t.prev.I+s.I)*ns), float64((t.power+power)*ns)
	t.sum.arc += dt
	t.sum.meanTime += dt
	t.sum.energy += energy
	t.sum.v += v
	t.sum.i += i
	t.bucket.Arc += dt
	t.bucket.V += v / 2
	t.bucket.I += i / 2
	t.bucket.Energy += energy / 2
	if s.Mark&Averaged != 0 {
		t.sum.averaged = true
	} else if t.shape != nil {
		t.shape.Step(s.V, s.I, dt)
	}
	t.last = s.Tick
}

// otherStep does the bookkeeping of a step that is not arc time.
func (t *tracer) otherStep(s Sample, in, gap bool, dt int64) {
	if t.in { // the run of samples in arc ended with the last sample
		t.endRun()
	}
	if gap {
		t.idle.gap += dt
	} else if !in && s.I >= t.arcCurrent && s.V >= t.arcVoltage {
		t.idle.held += dt
		t.to.heldOver(t.prev.Tick, s.Tick)
	}
	switch {
	case in && t.open && s.Tick-t.last <= t.hold:
		t.resume(s.Tick)
	case in:
		t.end()
		t.begin(s.Tick)
	case s.Tick-t.last > t.hold:
		t.end()
		t.to.idle(s.Tick)
	}
}

func (t *tracer) endRun() {
	t.last, t.lastTurns = t.prev.Tick, t.to.torch.Kept(t.prev.Tick)
	t.to.arcTurns += math.Abs(t.lastTurns - t.runTurns)
	if t.shape != nil {
		t.shape.Break()
	}
	t.in = false
}

// resume goes on with the arc interval after an arc-out shorter than the hold.
func (t *tracer) resume(tick int64) {
	if t.idle.gap == 0 {
		t.to.briefOut(tick - t.last)
	}
	t.sum.add(t.idle)
	t.bucket.Gap += t.idle.gap
	t.idle = tally{}
	t.last = tick
	t.runTurns = t.to.torch.Dial(tick)
}

// begin opens an arc interval.
func (t *tracer) begin(tick int64) {
	t.to.intervalStart(tick)
	t.sum.add(t.idle)
	t.idle = tally{}
	t.open, t.last = true, tick
	t.runTurns = t.to.torch.Dial(tick)
	t.lastTurns = t.runTurns
	t.openBucket(tick)
}

// end closes the arc interval at its last sample in arc, if one is open.
func (t *tracer) end() {
	if !t.open {
		return
	}
	t.closeBucket(t.prev.Tick)
	t.open = false
	t.to.intervalEnd(t.last, t.lastTurns)
}

// finish closes everything at the end of an epoch.
func (t *tracer) finish() {
	if t.in {
		t.endRun()
	}
	t.end()
	t.seen, t.idle = false, tally{}
}

func (t *tracer) openBucket(tick int64) {
	t.bucket = Bucket{Start: tick}
	t.bucketEnd = (tick/bucketLength + 1) * bucketLength
}

func (t *tracer) closeBucket(tick int64) {
	if tick > t.bucket.Start {
		t.bucket.End = tick
		t.to.bucket(&t.bucket)
	}
	t.openBucket(tick)
}

// add takes in what happened while the arc was out.
func (s *tally) add(other tally) {
	s.gap += other.gap
	s.held += other.held
}
