package pass

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
	"arctally/analyze/rotation"
)

// Splitter turns samples into passes. Its calls come in the order of the ticks.
type Splitter struct {
	job      *procedure.Job
	doubt    heat.Doubt // of the pass that is open
	doubtAt  func(Moment) heat.Doubt
	listener Listener
	layers   layers
	trace    tracer
	held     heldFilter
	torch    *rotation.Torch
	epoch    int
	take     func(Sample)

	mayRest int64 // ns for which the arc may stay out within a pass
	current *Pass // nil between passes
	lastEnd Position
	struck  int64    // tick at which the arc interval began
	ends    []ending // by hand, in the order of time
	due     ending   // the first that the pass under way may meet

	closed     closedRing
	sweep      sweep
	cut        bool    // the samples ended while the arc burned
	arcTurns   float64 // turns in arc, up to where the present run began
	startTurns float64
	briefs     int
	briefTime  int64
	wire       float64 // m
	wireKnown  bool
	wireArc    int64 // arc time up to which wire is counted
	wireSpeed  float64
	wireLength float64
	hasLength  bool

	voltageScale float64 // V in one code
	currentScale float64 // A in one code

	passes int
	doubts Doubts
	shape  shapes
}

// NewSplitter returns a splitter for a job whose procedure is filled in.
// It panics where there is no listener.
func NewSplitter(job *procedure.Job, doubt heat.Doubt, listener Listener) *Splitter {
	if listener == nil {
		panic("pass: a splitter without a listener")
	}
	judge := job.Procedure.Judge
	s := &Splitter{job: job, doubt: doubt, listener: listener, layers: newLayers(job), torch: rotation.NewTorch(job)}
	s.trace = tracer{
		arcCurrent: float64(judge.ArcCurrent), arcVoltage: float64(judge.ArcVoltage),
		hold: judge.Hold.Nanoseconds(), maxStep: math.MaxInt64, to: s,
	}
	s.take = s.trace.step
	s.mayRest = s.longestOff()
	return s
}

// DoubtBy has every pass take what is known of the instruments where it begins.
func (s *Splitter) DoubtBy(at func(Moment) heat.Doubt) { s.doubtAt = at }

// Source tells who speaks from now on.
func (s *Splitter) Source(src series.Source) {
	s.voltageScale, s.currentScale = 0, 0
	if len(src.Channels) > series.CurrentChannel {
		s.voltageScale, s.currentScale = src.Channels[series.VoltageChannel].Scale, src.Channels[series.CurrentChannel].Scale
	}
	s.torch.CountsPerTurn(src.CountsPerTurn)
	s.held.credit, s.held.heldAfter = src.HeldArc, src.HeldAfter
	s.trace.shape = s.shape.meterOf(src)
	s.trace.maxStep = math.MaxInt64
	if src.MaxStep > 0 {
		s.trace.maxStep = src.MaxStep
	}
}

// Samples takes voltage and current.
func (s *Splitter) Samples(x []Sample) {
	if s.held.heldAfter != 0 {
		for k := range x {
			s.held.add(x[k], s.take)
		}
		return
	}
	for len(x) > 0 {
		if n := s.trace.glide(x) + s.trace.lull(x); n > 0 { // one of them is 0
			x = x[n:]
			continue
		}
		s.trace.step(x[0])
		x = x[1:]
	}
}

// Window takes what a source summed by itself.
func (s *Splitter) Window(w Window) {
	s.wireKnown = s.wireKnown || w.Wire > 0
	s.trace.window(w)
}

// Turn takes a cumulative count of the torch rotation.
func (s *Splitter) Turn(tick, count int64) {
	if s.trace.in {
		s.torch.Keep(s.trace.prev.Tick)
	}
	s.torch.Count(tick, count)
	s.turnedCold(tick)
}

// WireSpeed takes a reading of the wire feed in m/s.
func (s *Splitter) WireSpeed(speed float64) {
	if s.wireKnown {
		speed, s.wireSpeed = (s.wireSpeed+speed)/2, speed
	} else {
		s.wireKnown, s.wireSpeed = true, speed
	}
	s.feed(speed)
}

func (s *Splitter) feed(speed float64) {
	s.wire = s.fed(speed)
	s.wireArc = s.trace.sum.arc
}

// fed returns the wire up to now, at a speed since it was last booked.
func (s *Splitter) fed(speed float64) float64 {
	return s.wire + speed*float64(s.trace.sum.arc-s.wireArc)*1e-9
}

// WireLength takes a cumulative length of wire in m.
func (s *Splitter) WireLength(length float64) {
	if s.hasLength && s.trace.open && length > s.wireLength {
		s.wire += length - s.wireLength
	}
	s.hasLength, s.wireLength = true, length
}

// Epoch begins a new tick epoch. Whatever was open ends, because nothing joins
// the two clocks.
func (s *Splitter) Epoch(epoch int) {
	s.Finish()
	if s.torch.Counted() {
		s.doubts.CarriedAngles++
	}
	s.torch.Epoch(s.trace.prev.Tick)
	s.epoch = epoch
	s.doubts.spanned = false
}

// Finish ends what is open.
func (s *Splitter) Finish() {
	s.held.flush(s.take)
	s.held.running = false
	s.cut = s.trace.in
	s.trace.finish()
	s.endPass()
}

// Burning reports whether an arc interval is open.
func (s *Splitter) Burning() bool { return s.trace.open }

// Measured reports whether the rotation of the torch is counted.
func (s *Splitter) Measured() bool { return s.torch.Measured() }

// At returns where the torch is at a tick, now or of the last moments.
func (s *Splitter) At(tick int64) Position { return s.position(tick, s.torch.Dial(tick)) }

func (s *Splitter) position(tick int64, dial float64) Position {
	p := Position{Moment: Moment{Epoch: s.epoch, Tick: tick}}
	if at := s.torch.Of(dial); at.Basis != "" {
		p.Turns, p.Basis = at.Turns, at.Basis
		p.Place = s.layers.place(p.Turns)
	}
	return p
}

// PlaceOf returns the place of a number of turns, as a Bucket gives them.
func (s *Splitter) PlaceOf(turns float64) *bore.Place {
	if !s.torch.Known() {
		return nil
	}
	return s.layers.place(turns)
}

// PathPerTurn returns the length of bead in one turn at the layer being welded.
func (s *Splitter) PathPerTurn() quantity.Metres { return s.layers.pathPerTurn() }
