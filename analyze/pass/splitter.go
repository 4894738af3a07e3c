package pass

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/arc"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
	"arctally/analyze/rotation"
)

// Splitter makes passes of what the arc does and where the torch is. Its calls come
// in the order of the ticks.
type Splitter struct {
	job      *procedure.Job
	listener Listener

	arc         *arc.Detector
	torch       *rotation.Torch
	feed        feed
	layers      layers
	endings     endings
	instruments instruments
	doubts      Doubts

	epoch   int
	passes  int      // begun so far
	current *Pass    // nil between passes
	struck  int64    // tick at which the arc interval began
	rested  Position // where the last one ended
	bucket  Bucket   // that is handed on

	odometer odometer
	brief    brief
	headway  headway
	closed   closing
	cut      bool // the samples ended while the arc burned
}

// NewSplitter returns a splitter for a job whose procedure is filled in.
// It panics where there is no listener.
func NewSplitter(job *procedure.Job, doubt heat.Doubt, listener Listener) *Splitter {
	if listener == nil {
		panic("pass: a splitter without a listener")
	}
	s := &Splitter{job: job, listener: listener, layers: newLayers(job), torch: rotation.NewTorch(job)}
	s.instruments.doubt = doubt
	judge := job.Procedure.Judge
	s.arc = arc.NewDetector(arc.Limits{Current: judge.ArcCurrent, Voltage: judge.ArcVoltage, Hold: judge.Hold}, s.hear)
	return s
}

// DoubtBy has every pass take what is known of the instruments where it begins.
func (s *Splitter) DoubtBy(at func(Moment) heat.Doubt) { s.instruments.at = at }

// WhileOut has somebody told what the source shows while no arc burns. It must be
// called before the first sample, if at all.
func (s *Splitter) WhileOut(tell func(arc.Idle)) { s.arc.WhileOut(tell) }

// Source tells who speaks from now on.
func (s *Splitter) Source(src series.Source) {
	s.arc.Source(src)
	s.feed.source(s.arc.Sums().Arc)
	s.instruments.source(src)
	s.torch.CountsPerTurn(src.CountsPerTurn)
}

// Samples takes voltage and current.
func (s *Splitter) Samples(x []arc.Sample) {
	for len(x) > 0 {
		n := s.arc.SkipCold(x, s.restsUntil())
		if n == 0 {
			n = s.arc.Take(x)
		}
		x = x[n:]
	}
}

// Window takes what a source summed by itself.
func (s *Splitter) Window(w arc.Window) {
	s.feed.counted(w.Wire, s.arc.Sums().Arc)
	s.arc.Window(w)
}

// Turn takes a cumulative count of the torch rotation.
func (s *Splitter) Turn(tick, count int64) {
	if s.arc.Lit() {
		newest, _ := s.arc.Newest()
		s.torch.Keep(newest)
	}
	s.torch.Count(tick, count)
	s.turnedCold(tick)
}

// WireSpeed takes a reading of the wire feed in m/s.
func (s *Splitter) WireSpeed(speed float64) { s.feed.readSpeed(speed, s.arc.Sums().Arc) }

// WireLength takes a cumulative length of wire in m.
func (s *Splitter) WireLength(length float64) { s.feed.readLength(length, s.arc.Open()) }

// Epoch begins a new tick epoch. Whatever was open ends, because nothing joins
// the two clocks.
func (s *Splitter) Epoch(epoch int) {
	s.Finish()
	if s.torch.Counted() {
		s.doubts.CarriedAngles++
	}
	last, _ := s.arc.Newest()
	s.torch.Epoch(last)
	s.epoch = epoch
	s.doubts.reaches = false
}

// Finish ends what is open.
func (s *Splitter) Finish() {
	s.arc.Flush()
	s.cut = s.arc.Lit()
	s.arc.Finish()
	s.endPass(s.soFar())
}

// Burning reports whether an arc interval is open.
func (s *Splitter) Burning() bool { return s.arc.Open() }

// Measured reports whether the rotation of the torch is counted.
func (s *Splitter) Measured() bool { return s.torch.Measured() }

// At returns where the torch is at a tick, now or of the last moments.
func (s *Splitter) At(tick int64) Position { return s.position(tick, s.torch.Dial(tick)) }

func (s *Splitter) position(tick int64, dial float64) Position {
	p := Position{Moment: Moment{Epoch: s.epoch, Tick: tick}}
	if s.torch.Known() {
		at := s.torch.Of(dial)
		p.Turns, p.Basis, p.Place = at.Turns, at.Basis, s.layers.place(at.Turns)
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

// restsUntil returns the tick up to which the arc may stay out before the pass
// that is open ends; without one, for ever.
func (s *Splitter) restsUntil() int64 {
	if s.current == nil {
		return math.MaxInt64
	}
	return min(s.rested.Tick+s.arc.Missing()+s.layers.mayRest, s.endings.next.at.Tick-1)
}
