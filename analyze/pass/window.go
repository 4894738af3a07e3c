package pass

// window takes what a source summed by itself. Its energy is that of all its
// samples, so a window that is only partly in arc gives energy and arc time,
// but no mean of voltage or current.
func (t *tracer) window(w Window) {
	follows := t.seen && !w.Break && w.Start == t.prev.Tick
	if t.seen && w.End <= t.prev.Tick {
		t.skipped++
		return
	}
	if t.seen && !follows {
		t.missing(w.Start)
	}
	t.seen = true
	if w.Arc > 0 {
		t.burn(w)
	} else {
		t.quiet(w)
	}
	t.prev, t.in = Sample{Tick: w.End}, w.Arc > 0
	if t.open && w.End >= t.bucketEnd {
		t.closeBucket(w.End)
	}
}

// missing accounts for the time between the last window and the next one.
func (t *tracer) missing(start int64) {
	if t.in {
		t.endRun()
	}
	t.idle.gap += max(0, start-t.prev.Tick)
}

// burn adds a window with arc in it.
func (t *tracer) burn(w Window) {
	switch {
	case t.open && w.Start-t.last <= t.hold:
		if !t.in {
			t.resume(w.Start)
		}
	default:
		t.end()
		t.begin(w.Start)
	}
	t.sum.arc += w.Arc
	t.sum.energy += 2e9 * w.Energy
	t.bucket.Energy += 1e9 * w.Energy
	t.to.wire += w.Wire
	if w.Arc == w.End-w.Start {
		t.sum.meanTime += w.Arc
		t.sum.v += 2 * w.V * float64(w.Arc)
		t.sum.i += 2 * w.I * float64(w.Arc)
		t.bucket.Arc += w.Arc
		t.bucket.V += w.V * float64(w.Arc)
		t.bucket.I += w.I * float64(w.Arc)
	} else {
		t.bucket.Partial += w.Arc
	}
	t.last = w.End
}

// quiet passes over a window without arc.
func (t *tracer) quiet(w Window) {
	if t.in {
		t.endRun()
	}
	if w.End-t.last > t.hold {
		t.end()
		t.to.idle(w.End)
	}
}
