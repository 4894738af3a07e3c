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

	arc         detector
	torch       *rotation.Torch
	feed        feed
	carriage    carriage
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
	ahead    bool // samples do not wait for the counts after them
	begun    bool // a pass of this epoch has begun
	late     bool // what holds for a pass that has begun was heard only later
}

// NewSplitter returns a splitter for a job whose procedure is filled in.
// It panics where there is no listener.
func NewSplitter(job *procedure.Job, doubt heat.Doubt, listener Listener) *Splitter {
	if listener == nil {
		panic("pass: a splitter without a listener")
	}
	s := &Splitter{job: job, listener: listener, layers: newLayers(job), torch: rotation.NewTorch(job)}
	s.instruments.doubt, s.instruments.said = doubt, job.Signals
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
	s.feed.source(s.arc.ArcTime())
	s.carriage.source(src)
	s.instruments.source(src)
	s.torch.CountsPerTurn(src.CountsPerTurn)
}

// DoubtAlso says what is known of the instruments of who speaks from now on: of a pass
// that both lay, no more is known than of the worse of the two.
func (s *Splitter) DoubtAlso(d heat.Doubt) { s.instruments.doubt = s.instruments.doubt.Worse(d) }

// Samples takes voltage and current.
func (s *Splitter) Samples(x []arc.Sample) {
	for len(x) > 0 {
		n := s.arc.SkipCold(x, s.restsUntil(s.arc.Missing()))
		if n == 0 {
			n = s.arc.Take(x)
		}
		x = x[n:]
	}
}

// Window takes what a source summed by itself.
func (s *Splitter) Window(w arc.Window) {
	s.feed.counted(w.Wire, s.arc.ArcTime())
	s.arc.Window(w)
}

// Count takes a cumulative count of the torch rotation, as soon as it is known: where
// the torch was until then depends on it.
func (s *Splitter) Count(tick, count int64) {
	s.torch.Count(tick, count)
	if s.ahead && s.current != nil {
		newest, _ := s.arc.Newest()
		s.torch.GoByCounts(newest)
	}
}

// LookAhead says that samples come before the counts after them: what is known later
// changes what the present pass rests on, and nothing that is over.
func (s *Splitter) LookAhead() { s.ahead = true }

// reanchor lets the pass under way rest on an anchor that came only now.
func (s *Splitter) reanchor() {
	if s.ahead && s.current != nil {
		newest, _ := s.arc.Newest()
		s.torch.Reanchor(newest)
		s.layers.zero = s.torch.Zero()
	}
}

// Settled returns the tick up to which no count that may still come changes where the
// torch was, when samples have come up to a tick.
func (s *Splitter) Settled(newest int64) int64 { return s.torch.Settled(newest) }

// Turn says that the samples have come to the tick of a count.
func (s *Splitter) Turn(tick int64) {
	newest, _ := s.arc.Newest()
	s.torch.Pass(tick, newest)
	s.turnedCold(tick)
}

// Index says that a count stood at the reference mark. It should come before the
// samples of its epoch, as what a person said should.
func (s *Splitter) Index(at Moment, count int64) {
	s.torch.Index(at.Epoch, at.Tick, count)
	s.reanchor()
}

// Say says where a person said that the torch stood.
func (s *Splitter) Say(said rotation.Said) {
	s.torch.Say(said)
	s.reanchor()
}

// Heard returns what persons said of the torch, with what was counted then, and whether
// that, or an index, came too late for passes that are over.
func (s *Splitter) Heard() (said []rotation.Said, late bool) {
	return s.torch.Heard(), s.late || s.torch.Late()
}

// ClockSeen says that the clock of an epoch was seen to be off by a share. It should come
// before the samples of the epoch, for all of which it holds.
func (s *Splitter) ClockSeen(epoch int, share float64) {
	s.late = s.late || epoch < s.epoch || epoch == s.epoch && s.begun
	s.instruments.clockSeen(epoch, share)
}

// CountsAnew says that the counts after a tick do not tell how far the torch turned
// before it.
func (s *Splitter) CountsAnew(tick int64) {
	s.doubts.CarriedAngles++
	s.torch.CountsAnew(tick)
}

// CountsApart says within which time, k = 2, a count may stand elsewhere than its tick
// says.
func (s *Splitter) CountsApart(half quantity.Seconds) { s.torch.CountsApart(half) }

// Rate returns how fast the torch turns by what is known now, 0 where nothing is.
func (s *Splitter) Rate() quantity.TurnsPerSecond { return s.torch.Rate() }

// WireSpeed takes a reading of the wire feed in m/s.
func (s *Splitter) WireSpeed(speed float64) {
	s.feed.readSpeed(speed, s.arc.ArcTime())
	s.arc.WireSpeed(speed)
}

// TravelSpeed takes a reading of the speed along the bead in m/s.
func (s *Splitter) TravelSpeed(speed float64) { s.carriage.readSpeed(speed, s.arc.ArcTime()) }

// Position takes a reading in m of where the torch is along one axis.
func (s *Splitter) Position(axis int, tick int64, metres float64) {
	s.carriage.position(axis, tick, metres, s.arc.Lit())
}

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
	s.torch.Epoch(epoch, last)
	s.epoch, s.begun = epoch, false
	s.doubts.reaches = false
}

// Finish ends what is open.
func (s *Splitter) Finish() {
	s.arc.Flush()
	s.cut = s.arc.Lit()
	s.arc.Finish()
	s.endPass(s.soFar())
	s.torch.Finish()
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
		p.Turns, p.Basis, p.Place, p.Zero = at.Turns, at.Basis, s.PlaceOf(at.Turns), s.layers.zero
	}
	return p
}

// PlaceOf returns the place of a number of turns, as a Bucket gives them; nil where it is not
// known.
func (s *Splitter) PlaceOf(turns float64) *bore.Place {
	if at, known := s.Locate(turns); known {
		return &at
	}
	return nil
}

// Locate is PlaceOf for who asks at every bucket: it needs no memory.
func (s *Splitter) Locate(turns float64) (at bore.Place, known bool) {
	if !s.torch.Known() {
		return at, false
	}
	if at, known = s.layers.place(turns); known {
		at.AngleUncertainty = s.torch.AngleUncertainty(s.layers.turned(turns))
	}
	return at, known
}

// PathPerTurn returns the length of bead in one turn at the layer being welded.
func (s *Splitter) PathPerTurn() quantity.Metres { return s.layers.pathPerTurn() }

// restsUntil returns the tick up to which the arc may stay out before the pass
// that is open ends, with so many ns without data since it went out; without one, for ever.
func (s *Splitter) restsUntil(missing int64) int64 {
	if s.current == nil {
		return math.MaxInt64
	}
	return min(s.rested.Tick+missing+s.layers.mayRest, s.endings.next.at.Tick-1)
}
