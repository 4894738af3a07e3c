// Package rotation knows how far the torch had turned at a tick, at which angle it
// stood, and what both are known from.
//
// Terms. Turns are revolutions of the torch, clockwise above 0 as seen from the
// torch side. They are measured where a counter of the drive is read, else they
// are dial turns: those that the declared rotation, what the dial of the drive
// says, makes of the time since the pass began. Where the signal has a rhythm
// that comes back once a turn, dial turns are set right by it, and the turns are
// derived. A pass goes by one of the three from its beginning to its end.
//
//	turns = base + (counts - counts at the first strike)/c     measured, c counts in a turn
//	dial  = n*(t - t0)                                         n declared, t0 the pass's beginning
//	turns = order*dial                                         derived
//
// The order is the true rotation as a multiple of the declared one. It is found
// from the times at which the arc is out, because a planned gap comes round once
// a turn (outages.go), and from the swing of the current (package harmonic); the
// better known one of the two is used.
//
// Counts tell how far the torch turned, and not where it stands. The angle is
// anchored (anchor.go): by a count that stands at the reference mark, by a person who
// said where the torch stood, or by the first strike, which is at the start angle.
// Counts carry it forwards and backwards, as far as their thread goes: a restart of
// the box or of the program breaks it.
//
// An outage is a time without arc within a pass; nothing is known here of what
// arc is, or of what makes a pass: both are told.
package rotation

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

// Torch follows the turning of the torch. Counts come as soon as they are known;
// everything else in the order of the ticks.
type Torch struct {
	job      *procedure.Job
	counts   counts
	tooFew   bool    // counts for the strokes of the job
	dead     int     // passes that began with a counter that is not at work
	declared float64 // turns per ns; 0 is not declared
	origin   int64   // tick at which the present pass began: its dial turns are 0
	measured bool    // the present pass goes by the counts
	derived  estimate
	rhythm   rhythm

	under    bool  // a pass is under way
	turning  int64 // ns for which the torch had turned when the present pass began, or the last one ended
	base     float64
	threaded bool      // a pass of this epoch went by counts: offset holds
	offset   float64   // turns at the first count of the epoch
	begun    stepDoubt // of the place where the present pass began
	step     stepDoubt // of the newest place
	stood    float64   // its standard uncertainty in degrees, with so many counts in a turn
	stoodOf  float64
	apart    quantity.Seconds // standard uncertainty of the ticks of the counts
	astray   quantity.Degrees // expanded uncertainty of its angle
	anchors  anchors
}

// Turned is how far the torch has turned, and what that rests on; the basis is
// empty where nothing tells the rotation.
type Turned struct {
	Turns float64
	Basis heat.TravelBasis
}

// NewTorch returns a torch that turns as a job declares.
func NewTorch(job *procedure.Job) *Torch {
	t := &Torch{job: job, declared: float64(job.Rotation.Speed) * 1e-9, rhythm: newRhythm(job)}
	t.counts.declared = t.declared
	t.anchors.basis = ByPlan
	return t
}

// CountsPerTurn says how many counts there are in a turn from now on; 0 is no
// counter.
func (t *Torch) CountsPerTurn(counts float64) {
	t.counts.perTurn, t.tooFew = counts, false
	if counts > 0 && counts*float64(t.narrowest())/360 < countsInStroke {
		t.counts.perTurn, t.tooFew = 0, true
	}
}

// TooFew reports whether there are counts, but too few for the strokes of the job.
func (t *Torch) TooFew() bool { return t.tooFew }

// Dead returns how many passes began with a counter that had said one count and never
// changed: they go by the plan.
func (t *Torch) Dead() int { return t.dead }

// countsInStroke is how many counts there must be in a stroke for them to tell where
// it ended. Ours, no source.
const countsInStroke = 3

// narrowest is the width of the narrowest segment, a turn where there are none.
func (t *Torch) narrowest() quantity.Degrees {
	least := quantity.Degrees(math.Inf(1))
	if t.job.Deposit.Pattern.Stroked() {
		for _, s := range t.job.Deposit.Segments(t.job.Rotation.StartAngle) {
			least = min(least, s.Width())
		}
	}
	return least
}

// Count takes a cumulative count, falling where the torch turns back. It may come long
// before its tick does.
func (t *Torch) Count(tick, count int64) { t.counts.take(tick, count) }

// Pass says that everything before a tick has come, and what was counted at it. What
// was before the newest sample is not asked for any more, but for the last of it.
func (t *Torch) Pass(tick, newest int64) {
	t.counts.pass(tick, t)
	t.listen(tick-1, false)
	t.counts.forget(newest)
}

// Finish says that nothing more comes in this epoch.
func (t *Torch) Finish() { t.listen(math.MaxInt64, false) }

// Counted reports whether a count has come in this epoch.
func (t *Torch) Counted() bool { return t.counts.any }

// gathered is for how long, in ns, a box may keep counts to itself (sensor link, TURN).
const gathered = 5_000_000_000

// Settled returns the tick up to which no count that may still come changes what the
// turns are, when samples have come up to a tick.
func (t *Torch) Settled(newest int64) int64 {
	c := &t.counts
	if c.perTurn <= 0 {
		return math.MaxInt64
	}
	ahead := c.horizon()
	if len(c.marks) < 2 {
		return newest - c.firstHorizon() - ahead - gathered
	}
	return max(newest-ahead-gathered, c.marks[len(c.marks)-1].tick-1)
}

// Epoch begins a new tick epoch after the last tick of the one before.
func (t *Torch) Epoch(epoch int, last int64) {
	if t.threaded {
		t.base = t.counted(last)
	}
	t.anchors.broken = t.anchors.broken || t.counts.any
	t.anchors.epoch(epoch)
	t.counts.restart()
	t.measured, t.threaded, t.under, t.turning = false, false, false, 0
}

// BeginPass decides by what a pass goes, for all of it: by counts where there
// are any. A fresh one does not go on with one that stopped short.
func (t *Torch) BeginPass(tick int64, fresh bool) {
	t.measured = t.counts.tell(tick)
	if c := &t.counts; !t.measured && c.perTurn > 0 && c.any && c.dead(tick) {
		t.dead++
	}
	t.origin, t.derived, t.under = tick, estimate{}, true
	t.counts.retell(tick, t)
	t.begun = stepDoubt{}
	if t.measured {
		var at float64
		at, t.begun = t.counts.where(tick, t)
		if !t.threaded {
			t.threaded, t.offset = true, t.base-at/t.counts.perTurn
		}
	}
	t.anchor(tick, fresh)
	t.stand(t.begun)
	t.rhythm.begin(!t.measured, tick)
}

// GoByCounts lets a pass that began without counts go on by them, once there are any.
func (t *Torch) GoByCounts(tick int64) {
	if t.measured || !t.counts.moved() || t.counts.perTurn <= 0 {
		return
	}
	turned := t.At(tick).Turns
	at, _ := t.counts.where(tick, t)
	t.measured, t.threaded, t.offset = true, true, turned-at/t.counts.perTurn
}

// EndPass says that the pass has ended, and with that, for all that is known, the
// turning of the torch.
func (t *Torch) EndPass(tick int64) {
	t.turning, t.under = t.Turning(tick), false
	t.counts.retell(tick, t)
}

// Struck implements drive.
func (t *Torch) Struck() int64 { return t.origin }

// Strokes implements drive.
func (t *Torch) Strokes() bool { return t.job.Deposit.Pattern.Stroked() }

// Turning implements drive.
func (t *Torch) Turning(tick int64) int64 {
	if !t.under {
		return t.turning
	}
	return t.turning + max(0, tick-t.origin)
}

// Measured reports whether the present pass goes by counts.
func (t *Torch) Measured() bool { return t.measured }

// Known reports whether there is any angle at all.
func (t *Torch) Known() bool { return t.measured || t.declared > 0 }

// Basis tells what turns rest on now.
func (t *Torch) Basis() heat.TravelBasis {
	switch {
	case t.measured:
		return heat.TravelMeasured
	case t.derived.from != "":
		return heat.TravelDerived
	default:
		return heat.TravelDeclared
	}
}

// Dial returns the turns at a tick, counted from where the first pass began, else
// dial turns since the present one began. Such turns may be added up while the rotation
// is not settled: Turns makes of the sum what it stands for.
func (t *Torch) Dial(tick int64) float64 {
	if t.measured {
		return t.counted(tick)
	}
	return t.declared * float64(tick-t.origin)
}

// counted returns the turns at a tick by counts. While nobody says how many counts are
// a turn, the torch is where the last known count left it.
func (t *Torch) counted(tick int64) float64 {
	at, _ := t.counts.where(tick, t)
	return t.dialOf(at)
}

// dialOf returns the turns of so many counts since the first one.
func (t *Torch) dialOf(at float64) float64 {
	if t.counts.perTurn <= 0 {
		return t.base
	}
	return t.offset + at/t.counts.perTurn
}

// Turns sets dial turns right by the derived rotation, where there is one.
// Counted turns stay as they are.
func (t *Torch) Turns(dial float64) float64 {
	if t.measured || t.derived.from == "" {
		return dial
	}
	return dial * t.derived.order
}

// At returns how far the torch had turned at a tick.
func (t *Torch) At(tick int64) Turned { return t.Of(t.Dial(tick)) }

// Of returns what the torch had turned at so many dial turns.
func (t *Torch) Of(dial float64) Turned {
	if !t.Known() {
		return Turned{}
	}
	return Turned{t.Turns(dial), t.Basis()}
}

// CountsApart says within which time, k = 2, a count may stand elsewhere than its tick
// says: the counter is read by another clock than the samples.
func (t *Torch) CountsApart(half quantity.Seconds) {
	if t.apart != half/2 {
		t.apart = half / 2
		t.stand(t.step)
	}
}

// Rate returns how fast the torch turns: as declared, or as it turned up to the last
// count where that is faster; 0 where nothing tells it.
func (t *Torch) Rate() quantity.TurnsPerSecond {
	rate := math.Abs(t.declared)
	if c := &t.counts; c.perTurn > 0 && len(c.marks) > 0 {
		rate = max(rate, c.marks[max(0, c.passed-1)].rate/c.perTurn)
	}
	return quantity.TurnsPerSecond(rate * 1e9)
}

// Speed returns the rotation that a pass goes by that is not counted, 0 where
// none is declared.
func (t *Torch) Speed() quantity.TurnsPerSecond {
	return quantity.TurnsPerSecond(t.Turns(t.declared) * 1e9)
}
