package arc

// Window takes what a source summed by itself. Its energy is that of all its
// samples, so a window that is only partly in arc gives energy and arc time,
// but no mean of voltage or current.
func (d *Detector) Window(w Window) {
	follows := !w.Break && w.Start == d.prev.Tick
	switch {
	case d.seen && w.Start < d.prev.Tick:
		d.skipped++
		return
	case d.seen && !follows:
		d.miss(w.Start)
	}
	d.seen = true
	if w.Arc > 0 {
		d.burn(w)
	} else {
		d.quiet(w)
	}
	d.prev, d.lit = Sample{Tick: w.End}, w.Arc > 0
	if d.open && w.End >= d.bucketEnd {
		d.closeBucket(w.End)
	}
}

// miss accounts for the time between the last window and the next one.
func (d *Detector) miss(start int64) {
	if d.lit {
		d.goOut()
	}
	d.out.missing += max(0, start-d.prev.Tick)
}

// burn adds a window with arc in it.
func (d *Detector) burn(w Window) {
	switch {
	case !d.open || w.Start-d.last > d.hold:
		d.end()
		d.begin(w.Start)
	case !d.lit:
		d.resume(w.Start)
	}
	d.sums.Arc += w.Arc
	d.sums.Averaged = d.sums.Averaged || w.Averaged
	d.sums.Wire += w.Wire
	d.sums.energy += 2e9 * w.Energy
	d.bucket.Energy += 2e9 * w.Energy
	if w.Arc == w.End-w.Start {
		t := float64(w.Arc)
		d.sums.meanTime += w.Arc
		d.sums.v += 2 * w.V * t
		d.sums.i += 2 * w.I * t
		d.bucket.Arc += w.Arc
		d.bucket.V += 2 * w.V * t
		d.bucket.I += 2 * w.I * t
	} else {
		d.bucket.Partial += w.Arc
	}
	d.last = w.End
}

// quiet passes over a window without arc.
func (d *Detector) quiet(w Window) {
	if d.lit {
		d.goOut()
	}
	d.idle.window(w)
	if !d.open || w.End-d.last > d.hold {
		d.end()
		d.tell(Event{Kind: Cold, Tick: w.End, Missing: d.out.missing})
	}
}
