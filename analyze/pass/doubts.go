package pass

// Stretch is a time from Start to End on the clock of an epoch.
type Stretch struct {
	Start Moment
	End   int64
}

// keptStretches is how many single stretches are kept; what comes after them
// counts, but is not listed, so that a bad capture cannot fill the memory.
const keptStretches = 200

// Doubts are what the splitter could not turn into arc time.
type Doubts struct {
	// Skipped counts the samples before the latest tick.
	Skipped int64
	// Held lists the first stretches in which the source stood at arc-like
	// values without an arc; HeldCount counts them all, HeldTime adds them up.
	Held      []Stretch
	HeldCount int
	HeldTime  int64 // ns
	// Arc and Span are the whole arc time and the whole time from the first to
	// the last sample that is in arc, or looks like it, in ns.
	Arc, Span int64
	// CarriedAngles counts restarts over which the angle was carried on.
	CarriedAngles int
	// Layer is the layer that was begun last, with Laid of the Planned rings or
	// strokes in it; of another pattern, or by a plan that is not known, all are 0.
	Layer, Laid, Planned int
	// Diameter says why a layer was taken at the diameter of another one.
	Diameter error

	lastHeld Stretch
	spanned  bool  // the span of this epoch has begun
	last     int64 // and reaches to this tick
}

// Last returns where the last held stretch ended.
func (d Doubts) Last() Moment { return Moment{d.lastHeld.Start.Epoch, d.lastHeld.End} }

// Doubts returns what could not be turned into arc time so far.
func (s *Splitter) Doubts() Doubts {
	d := s.doubts
	d.Skipped, d.Diameter = s.trace.skipped, s.layers.uncertain
	d.Layer, d.Laid, d.Planned = s.layers.count()
	return d
}

// heldOver is told of a step at arc-like values that is not arc time.
func (s *Splitter) heldOver(from, to int64) {
	d := &s.doubts
	d.HeldTime += to - from
	d.spanTo(from, to)
	if d.HeldCount > 0 && d.lastHeld.Start.Epoch == s.epoch && d.lastHeld.End == from {
		d.lastHeld.End = to
		if d.HeldCount <= keptStretches {
			d.Held[d.HeldCount-1].End = to
		}
		return
	}
	d.HeldCount++
	d.lastHeld = Stretch{Moment{s.epoch, from}, to}
	if d.HeldCount <= keptStretches {
		d.Held = append(d.Held, d.lastHeld)
	}
}

// spanTo stretches the span of the epoch to a tick.
func (d *Doubts) spanTo(from, to int64) {
	if !d.spanned {
		d.spanned, d.last = true, from
	}
	d.Span += max(0, to-d.last)
	d.last = max(d.last, to)
}
