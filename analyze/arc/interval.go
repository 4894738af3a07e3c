package arc

// goOut says that the last sample was the last in arc for now.
func (d *Detector) goOut() {
	d.last, d.lit = d.prev.Tick, false
	d.wave.interrupt()
	d.tell(Event{Kind: ArcOut, Tick: d.last})
}

// resume goes on with the arc interval after a brief arc-out.
func (d *Detector) resume(tick int64) {
	d.tell(Event{Kind: ArcBack, From: d.last, Tick: tick, Missing: d.out.missing})
	d.bucket.Missing += d.out.missing
	d.takeIn()
	d.last = tick
}

// begin opens an arc interval.
func (d *Detector) begin(tick int64) {
	d.tell(Event{Kind: IntervalBegan, Tick: tick, Missing: d.out.missing})
	d.takeIn()
	d.open, d.last = true, tick
	d.openBucket(tick)
}

// takeIn adds to the sums what happened while the arc was out.
func (d *Detector) takeIn() {
	d.sums.Missing += d.out.missing
	d.sums.Held += d.out.held
	d.out = pause{}
}

// end closes the arc interval at its last sample in arc, if one is open.
func (d *Detector) end() {
	if !d.open {
		return
	}
	d.closeBucket(d.prev.Tick)
	d.open = false
	d.tell(Event{Kind: IntervalEnded, Tick: d.last})
}

// Flush takes the samples that wait to show whether they are held, as they are. It
// comes before Finish.
func (d *Detector) Flush() {
	d.held.flush(d.step)
	d.held.inRow = false
}

// Finish ends what is open. The next sample, on whatever clock, follows none.
func (d *Detector) Finish() {
	if d.lit {
		d.goOut()
	}
	d.end()
	d.seen, d.out = false, pause{}
	d.idle.restart()
}

// Restart begins the sums anew, with what belongs to them already.
func (d *Detector) Restart(with Sums) { d.sums, d.out = with, pause{} }

// Sums returns what burned since the last Restart.
func (d *Detector) Sums() Sums { return d.sums }

// ArcTime returns the ns in arc of the Sums.
func (d *Detector) ArcTime() int64 { return d.sums.Arc }

// Keep keeps the Sums as they are now, in place of those that were kept before.
func (d *Detector) Keep() { d.kept = d.sums }

// Kept returns the Sums that were kept last.
func (d *Detector) Kept() Sums { return d.kept }

// Missing returns the ns without data since the last sample in arc.
func (d *Detector) Missing() int64 { return d.out.missing }

// Newest returns the latest tick, and whether a sample has come in this epoch.
func (d *Detector) Newest() (tick int64, seen bool) { return d.prev.Tick, d.seen }

// Open reports whether an arc interval is open.
func (d *Detector) Open() bool { return d.open }

// Lit reports whether the newest sample is in arc.
func (d *Detector) Lit() bool { return d.lit }

// Last returns the tick of the last sample in arc.
func (d *Detector) Last() int64 { return d.last }

// Skipped returns how many samples came before the latest tick.
func (d *Detector) Skipped() int64 { return d.skipped }
