// Package rotation knows how far the torch had turned at a tick, and what that is
// known from.
//
// Terms. Turns are revolutions of the torch, clockwise above 0 as seen from the
// torch side. They are measured where a counter of the drive is read, else they
// are dial turns: those that the declared rotation, what the dial of the drive
// says, makes of the time since the pass began. Where the signal has a rhythm
// that comes back once a turn, dial turns are set right by it, and the turns are
// derived. A pass goes by one of the three from its beginning to its end.
//
//	turns = base + (last - first + ahead)/c      measured, c counts in a turn
//	dial  = n*(t - t0)                           n declared, t0 the pass's beginning
//	turns = order*dial                           derived
//
// The order is the true rotation as a multiple of the declared one. It is found
// from the times at which the arc is out, because a planned gap comes round once
// a turn (outages.go), and from the swing of the current (package cycle); the
// better known one of the two is used.
//
// An outage is a time without arc within a pass; nothing is known here of what
// arc is, or of what makes a pass: both are told.
package rotation

import (
	"arctally/acquire/quantity"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

// Torch follows the turning of the torch. Its calls come in the order of the
// ticks.
type Torch struct {
	counts   counts
	declared float64 // turns per ns; 0 is not declared
	origin   int64   // tick at which the present pass began: its dial turns are 0
	measured bool    // the present pass goes by the counts
	derived  estimate
	rhythm   rhythm

	kept      bool
	keptTick  int64
	keptTurns float64
}

// Turned is how far the torch has turned, and what that rests on; the basis is
// empty where nothing tells the rotation.
type Turned struct {
	Turns float64
	Basis heat.TravelBasis
}

// NewTorch returns a torch that turns as a job declares.
func NewTorch(job *procedure.Job) *Torch {
	return &Torch{declared: float64(job.Rotation.Speed) * 1e-9, rhythm: newRhythm(job)}
}

// CountsPerTurn says how many counts there are in a turn from now on; 0 is no
// counter.
func (t *Torch) CountsPerTurn(counts float64) { t.counts.perTurn = counts }

// Count takes a cumulative count, falling where the torch turns back.
func (t *Torch) Count(tick, count int64) { t.counts.take(tick, count) }

// Counted reports whether a count has come in this epoch.
func (t *Torch) Counted() bool { return t.counts.any }

// Keep keeps the turns at a tick, before the next count says how far the torch
// has gone since: where data is missing that is far.
func (t *Torch) Keep(tick int64) {
	if !t.kept || t.keptTick != tick {
		t.kept, t.keptTick, t.keptTurns = true, tick, t.Dial(tick)
	}
}

// Kept is Dial for a tick that may have been kept.
func (t *Torch) Kept(tick int64) float64 {
	if t.kept && t.keptTick == tick {
		return t.keptTurns
	}
	return t.Dial(tick)
}

// Epoch begins a new tick epoch after the last tick of the one before.
func (t *Torch) Epoch(last int64) {
	t.counts.restart(last)
	t.measured, t.kept = false, false
}

// BeginPass decides by what a pass goes, for all of it: by counts where there
// are any.
func (t *Torch) BeginPass(tick int64) {
	t.measured = t.counts.tell()
	t.origin, t.derived = tick, estimate{}
	t.rhythm.begin(!t.measured, tick)
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

// Dial returns the turns at a tick, counted from where the record began, else
// dial turns since the pass began. Such turns may be added up while the rotation
// is not settled: Turns makes of the sum what it stands for.
func (t *Torch) Dial(tick int64) float64 {
	if t.measured {
		return t.counts.at(tick)
	}
	return t.declared * float64(tick-t.origin)
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

// Speed returns the rotation that a pass goes by that is not counted, 0 where
// none is declared.
func (t *Torch) Speed() quantity.TurnsPerSecond {
	return quantity.TurnsPerSecond(t.Turns(t.declared) * 1e9)
}

// Counts returns how many counts so many turns are.
func (t *Torch) Counts(turns float64) float64 { return turns * t.counts.perTurn }
