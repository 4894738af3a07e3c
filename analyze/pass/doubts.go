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
	// Held are the times in which the source stood at arc-like values without an arc.
	Held HeldTimes
	// MayBeHeld are times that count as arc, in which it may have done so.
	MayBeHeld HeldTimes
	// Arc and Elapsed are the whole arc time and the whole time from the first to
	// the last sample that is in arc, or looks like it, in ns.
	Arc, Elapsed int64
	// CarriedAngles counts restarts over which the angle was carried on.
	CarriedAngles int
	// TooFewCounts is set where the torch is counted, but too seldom for its strokes.
	TooFewCounts bool
	// DeadCounter counts the passes that went by the plan because the turn counter had
	// said one count, and never another.
	DeadCounter int
	// Layer is the layer that was begun last, with Laid of the Planned rings or
	// strokes in it; of another pattern, or by a plan that is not known, all are 0.
	Layer, Laid, Planned int
	// Diameter says why a layer was taken at the diameter of another one.
	Diameter error

	reaches bool  // the elapsed time of this epoch has begun
	last    int64 // and reaches to this tick
}

// HeldTimes lists the first of many times; Count counts them all, Time adds them up.
type HeldTimes struct {
	Listed []HeldTime
	Count  int
	Time   int64 // ns
	latest HeldTime
}

// Last returns where the last of them ended.
func (h HeldTimes) Last() Moment { return Moment{h.latest.Start.Epoch, h.latest.End} }

// add takes a step; one that follows the last makes it longer.
func (h *HeldTimes) add(epoch int, from, to int64) {
	h.Time += to - from
	if h.Count > 0 && h.latest.Start.Epoch == epoch && h.latest.End == from {
		h.latest.End = to
		if h.Count <= listed {
			h.Listed[h.Count-1].End = to
		}
		return
	}
	h.Count++
	h.latest = HeldTime{Moment{epoch, from}, to}
	if h.Count <= listed {
		h.Listed = append(h.Listed, h.latest)
	}
}

// Doubts returns what could not be turned into arc time so far.
func (s *Splitter) Doubts() Doubts {
	d := s.doubts
	d.Skipped, d.Diameter = s.arc.Skipped(), s.layers.uncertain
	d.Layer, d.Laid, d.Planned = s.layers.count()
	d.TooFewCounts, d.DeadCounter = s.torch.TooFew(), s.torch.Dead()
	return d
}

// held takes a step at arc-like values that is not arc time.
func (d *Doubts) held(epoch int, from, to int64) {
	d.Held.add(epoch, from, to)
	d.reachTo(from, to)
}

// reachTo makes the elapsed time of the epoch reach to a tick.
func (d *Doubts) reachTo(from, to int64) {
	if !d.reaches {
		d.reaches, d.last = true, from
	}
	d.Elapsed += max(0, to-d.last)
	d.last = max(d.last, to)
}
