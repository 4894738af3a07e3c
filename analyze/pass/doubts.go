package pass

// HeldTime is a time, from Start to End on the clock of its epoch, in which the
// source stood at arc-like values without an arc.
type HeldTime struct {
	Start Moment
	End   int64
}

// listed is how many single times are listed; what comes after them counts, but is
// not listed, so that a bad capture cannot fill the memory.
const listed = 200

// Doubts are what the splitter could not turn into arc time.
type Doubts struct {
	// Skipped counts the samples before the latest tick.
	Skipped int64
	// Held lists the first of the held times; HeldCount counts them all, HeldTime
	// adds them up.
	Held      []HeldTime
	HeldCount int
	HeldTime  int64 // ns
	// Arc and Elapsed are the whole arc time and the whole time from the first to
	// the last sample that is in arc, or looks like it, in ns.
	Arc, Elapsed int64
	// CarriedAngles counts restarts over which the angle was carried on.
	CarriedAngles int
	// Layer is the layer that was begun last, with Laid of the Planned rings or
	// strokes in it; of another pattern, or by a plan that is not known, all are 0.
	Layer, Laid, Planned int
	// Diameter says why a layer was taken at the diameter of another one.
	Diameter error

	lastHeld HeldTime
	reaches  bool  // the elapsed time of this epoch has begun
	last     int64 // and reaches to this tick
}

// Last returns where the last held time ended.
func (d Doubts) Last() Moment { return Moment{d.lastHeld.Start.Epoch, d.lastHeld.End} }

// Doubts returns what could not be turned into arc time so far.
func (s *Splitter) Doubts() Doubts {
	d := s.doubts
	d.Skipped, d.Diameter = s.arc.Skipped(), s.layers.uncertain
	d.Layer, d.Laid, d.Planned = s.layers.count()
	return d
}

// held takes a step at arc-like values that is not arc time.
func (d *Doubts) held(epoch int, from, to int64) {
	d.HeldTime += to - from
	d.reachTo(from, to)
	if d.HeldCount > 0 && d.lastHeld.Start.Epoch == epoch && d.lastHeld.End == from {
		d.lastHeld.End = to
		if d.HeldCount <= listed {
			d.Held[d.HeldCount-1].End = to
		}
		return
	}
	d.HeldCount++
	d.lastHeld = HeldTime{Moment{epoch, from}, to}
	if d.HeldCount <= listed {
		d.Held = append(d.Held, d.lastHeld)
	}
}

// reachTo makes the elapsed time of the epoch reach to a tick.
func (d *Doubts) reachTo(from, to int64) {
	if !d.reaches {
		d.reaches, d.last = true, from
	}
	d.Elapsed += max(0, to-d.last)
	d.last = max(d.last, to)
}
