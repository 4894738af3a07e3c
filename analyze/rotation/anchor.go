package rotation

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

// AngleBasis names what an angle rests on; the words stand in records and reports.
type AngleBasis string

// What an angle rests on, the best first.
const (
	ByIndex  AngleBasis = "index"        // a count that stands at the reference mark
	BySaid   AngleBasis = "said"         // a person said where the torch stood
	ByStrike AngleBasis = "first strike" // the first strike is taken to be at the start angle
	ByPlan   AngleBasis = "plan"         // without counts each pass begins where the plan has it
	Unknown  AngleBasis = "not known"    // carried on over a restart, or turned by hand unheard
)

// Said is where a person said that the torch stood.
type Said struct {
	Epoch int
	Tick  int64
	Angle quantity.Degrees
	By    string
	// Counts is where it stood by the counter, from the first count of the epoch, with
	// its standard uncertainty, once the samples have come so far: it is heard then.
	Counts, Doubt float64
	Heard         bool
}

// index is a count that begins at the reference mark.
type index struct {
	epoch int
	tick  int64
	count int64
}

// anchors are what the angle may rest on.
type anchors struct {
	now     int // the epoch
	indexes []index
	said    []Said

	passes bool  // one of the epoch went by counts
	anew   bool  // the counts began anew within the epoch
	since  int64 // the tick at which they did: an anchor before it holds for nothing after it
	struck bool  // the first strike of the record has anchored the angle
	broken bool  // a thread of counts has been broken since
	late   bool  // a pass that is over would have had another anchor

	basis AngleBasis
	by    *Said
	zero  float64 // turns at the start angle
	doubt float64 // standard, of the anchor, in degrees
}

// How well an anchor is known, as a standard uncertainty in degrees. Ours, no source.
const (
	indexDoubt  = 0.3 // the width of a switch, or of the mark of an encoder
	saidDoubt   = 3.0 // by eye, or by a scale on the bar
	strikeDoubt = 3.0 // the torch is set to the start angle in the same way
)

// Index says that a count of an epoch stood at the reference mark. It may come before
// its tick does, and should.
func (t *Torch) Index(epoch int, tick, count int64) {
	a := &t.anchors
	a.late = a.late || epoch == a.now && a.passes && a.basis != ByIndex
	a.indexes = append(a.indexes, index{epoch, tick, count})
}

// Say says where a person said that the torch stood.
func (t *Torch) Say(s Said) { t.anchors.said = append(t.anchors.said, s) }

// Heard returns what persons said, with what the counter stood at then: an analysis
// that begins with them can use them for what was laid before they were said.
func (t *Torch) Heard() []Said { return t.anchors.said }

// Late reports whether an anchor has come too late for passes for which it holds. They
// must be judged anew, with what is known by now.
func (t *Torch) Late() bool { return t.anchors.late }

// epoch begins another one.
func (a *anchors) epoch(number int) { a.now, a.passes, a.anew = number, false, false }

// holds reports whether an anchor at a tick of the epoch holds for the counts now.
func (a *anchors) holds(epoch int, tick int64) bool {
	return epoch == a.now && (!a.anew || tick >= a.since)
}

// CountsAnew says that the counter began anew at a tick of the epoch, though the clock
// went on: nobody counted how far the torch turned before that.
func (t *Torch) CountsAnew(tick int64) {
	a := &t.anchors
	a.anew, a.since, a.broken = true, tick, true
	if t.measured {
		a.basis, a.by = Unknown, nil
		t.stand(t.step)
	}
}

// Zero returns the turns at which the torch stands at the start angle.
func (t *Torch) Zero() float64 { return t.anchors.zero }

// AngleBasis tells what the angle rests on, and, where a person said it, what.
func (t *Torch) AngleBasis() (AngleBasis, *Said) { return t.anchors.basis, t.anchors.by }

// anchor takes the best anchor that there is for a pass that begins at a tick.
func (t *Torch) anchor(tick int64, fresh bool) {
	a := &t.anchors
	a.by = nil
	if !t.measured {
		a.basis, a.zero, a.doubt = ByPlan, 0, strikeDoubt
		return
	}
	t.listen(tick, true)
	a.passes = true
	switch {
	case t.anchorByIndex(tick):
	case t.anchorBySaid(tick):
	case !a.struck, a.basis == ByPlan, a.broken && fresh && !t.job.Deposit.Pattern.Stroked():
		a.basis, a.zero, a.doubt = ByStrike, t.counted(tick), math.Hypot(strikeDoubt, t.degrees(t.begun.standard(t.counts.perTurn)))
		a.struck, a.broken = true, false
	case a.broken:
		a.basis = Unknown
	}
}

// Reanchor lets the present pass rest on what has become known by a tick.
func (t *Torch) Reanchor(tick int64) {
	if !t.measured {
		return
	}
	t.listen(tick+1, false)
	if !t.anchorByIndex(tick + 1) {
		t.anchorBySaid(tick + 1)
	}
	t.stand(t.step)
}

// anchorByIndex takes the last index before a tick, else the first after it.
func (t *Torch) anchorByIndex(tick int64) bool {
	a := &t.anchors
	best := -1
	for k := range a.indexes {
		if x := &a.indexes[k]; a.holds(x.epoch, x.tick) && (best < 0 || x.tick <= tick) {
			best = k
		}
	}
	if best < 0 {
		return false
	}
	a.basis, a.doubt = ByIndex, indexDoubt
	a.rest(t.offset+(float64(a.indexes[best].count)-float64(t.counts.origin))/t.counts.perTurn, -t.job.Rotation.StartAngle)
	return true
}

// anchorBySaid takes what was said last before a tick, else first after it.
func (t *Torch) anchorBySaid(tick int64) bool {
	a := &t.anchors
	var best *Said
	for k := range a.said {
		if s := &a.said[k]; a.holds(s.Epoch, s.Tick) && s.Heard && (best == nil || s.Tick <= tick) {
			best = s
		}
	}
	if best == nil {
		return false
	}
	a.basis, a.by, a.doubt = BySaid, best, math.Hypot(saidDoubt, t.degrees(best.Doubt))
	a.rest(t.offset+best.Counts/t.counts.perTurn, best.Angle-t.job.Rotation.StartAngle)
	return true
}

// rest lets the angle rest on the torch's having stood, at so many turns, so far past
// the start angle.
func (a *anchors) rest(turns float64, past quantity.Degrees) {
	a.zero = turns - float64(bore.NormalAngle(past))/360
	a.struck, a.broken = true, false
}

// listen tells what the counter stood at when a person said where the torch was, up to
// a tick. One that is struck there, and was not heard to turn since, stood still.
func (t *Torch) listen(tick int64, struck bool) {
	a := &t.anchors
	for k := range a.said {
		s := &a.said[k]
		if s.Heard || s.Epoch != a.now || s.Tick > tick || !t.counts.any || t.counts.silent(s.Tick) {
			continue
		}
		at := s.Tick
		if struck && !t.counts.changed(s.Tick, tick) {
			at = tick
		}
		var doubt stepDoubt
		s.Counts, doubt = t.counts.where(at, t)
		s.Heard, s.Doubt = true, doubt.standard(t.counts.perTurn)
		a.late = a.late || a.passes && a.basis != ByIndex && a.basis != BySaid
	}
}
