package arc

// burnOn takes the samples at the front of x that go on with the arc and end no
// bucket, and returns how many those are. It does what next does, to the bit,
// with the sums at hand instead of in memory: nearly all samples come this way.
// (The conversions here and there keep products from being fused into sums,
// which some processors would do in one of the two and not in the other.)
func (d *Detector) burnOn(x []Sample) int {
	if !d.lit {
		return 0
	}
	longest := min(d.maxStep, d.hold)
	tick, v, i, power := d.prev.Tick, d.prev.V, d.prev.I, d.power
	sumV, sumI, sumEnergy := d.sums.v, d.sums.i, d.sums.energy
	inV, inI, inEnergy := d.bucket.V, d.bucket.I, d.bucket.Energy
	n := 0
	for ; n < len(x); n++ {
		s := &x[n]
		dt := s.Tick - tick
		if s.Mark != 0 || s.I < d.current || dt < 0 || dt > longest || s.Tick >= d.bucketEnd {
			break
		}
		ns, p := float64(dt), float64(s.V*s.I)
		volts, amperes, energy := float64((v+s.V)*ns), float64((i+s.I)*ns), float64((power+p)*ns)
		sumV, sumI, sumEnergy = sumV+volts, sumI+amperes, sumEnergy+energy
		inV, inI, inEnergy = inV+volts, inI+amperes, inEnergy+energy
		tick, v, i, power = s.Tick, s.V, s.I, p
	}
	if n == 0 {
		return 0
	}
	d.wave.hear(x[:n], d.prev.Tick)
	if looks(d.bucketEnd) {
		d.sums.swing.add(&d.prev, x[:n])
	}
	ns := tick - d.prev.Tick
	d.sums.v, d.sums.i, d.sums.energy = sumV, sumI, sumEnergy
	d.bucket.V, d.bucket.I, d.bucket.Energy = inV, inI, inEnergy
	d.sums.Arc, d.sums.meanTime, d.bucket.Arc = d.sums.Arc+ns, d.sums.meanTime+ns, d.bucket.Arc+ns
	d.prev, d.power, d.last = x[n-1], power, tick
	return n
}

// SkipCold takes the samples at the front of x that pass up to a tick while the arc
// is cold and nothing happens, and returns how many those are: the same as Take
// when nobody has an ear for Cold, but quicker.
func (d *Detector) SkipCold(x []Sample, until int64) int {
	if d.open || !d.seen || d.held.looks() {
		return 0
	}
	until = min(until, d.idle.until())
	tick, n := d.prev.Tick, 0
	v, i := d.idle.v, d.idle.i
	for ; n < len(x); n++ {
		s := &x[n]
		if s.Mark&^Averaged != 0 || s.I >= d.current || s.Tick < tick || s.Tick-tick > d.maxStep || s.Tick > until {
			break
		}
		ns := float64(s.Tick - tick)
		v, i = v+float64(s.V*ns), i+float64(s.I*ns)
		tick = s.Tick
	}
	if n == 0 {
		return 0
	}
	if d.idle.tell != nil {
		d.idle.v, d.idle.i, d.idle.time = v, i, d.idle.time+tick-d.prev.Tick
	}
	d.prev = x[n-1]
	return n
}
