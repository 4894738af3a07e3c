package finding

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// edge is how many degrees the arc may be struck late or end early at a planned
// gap, or reach into it. Ours; common practice, no source.
const edge = 6

// arcOuts judges the arc being out between two arc intervals of one pass.
type arcOuts struct {
	deaf
	*ledger
	burning bool
	rested  pass.Position // where the arc went out
}

// Begin implements pass.Listener.
func (a *arcOuts) Begin(*pass.Pass, pass.Position) { a.burning = true }

// Resume implements pass.Listener.
func (a *arcOuts) Resume(from, to pass.Position, off quantity.Seconds) {
	for _, f := range a.between(from, to, off) {
		a.add(f)
	}
	a.burning = true
}

// Rest implements pass.Listener.
func (a *arcOuts) Rest(at pass.Position) { a.burning, a.rested = false, at }

// between returns where the arc was out on a way on which the plan has it burning.
func (a *arcOuts) between(from, to pass.Position, off quantity.Seconds) (found []Finding) {
	limit := float64(a.limits(ArcOut).High)
	if float64(off) <= limit {
		return nil
	}
	if !told(from) {
		if a.likeGap(off) {
			return nil
		}
		return []Finding{{Rule: ArcOut, Start: from.Moment, Place: from.Place, Way: way(from.Turns, to.Turns), Duration: off, Worst: float64(off), Limit: limit}}
	}
	turned := nonZero(to.Turns - from.Turns)
	beside := quantity.Degrees(edge)
	if from.Place != nil {
		beside += from.Place.AngleUncertainty
	}
	for _, u := range a.unplanned(from.Turns, to.Turns, beside) {
		share := 1.0
		if to.Turns != from.Turns {
			share = (u.to - u.from) / turned
		}
		lasted := quantity.Seconds(share) * off
		if float64(lasted) <= limit {
			continue
		}
		begun := from.Moment
		begun.Tick += int64((u.from - from.Turns) / turned * float64(to.Tick-from.Tick))
		found = append(found, Finding{Rule: ArcOut, Start: begun, Place: a.torch.PlaceOf(u.from), Way: way(u.from, u.to), Duration: lasted, Worst: float64(lasted), Limit: limit})
	}
	return found
}

// told reports whether counts tell at which angle the torch is.
func told(at pass.Position) bool {
	return at.Basis == heat.TravelMeasured && (at.Place == nil || at.Place.AngleUncertainty <= vague)
}

func nonZero(x float64) float64 {
	if x == 0 {
		return 1
	}
	return x
}

// likeGap reports whether a time without arc fits one of the planned gaps, where no
// angle is told: to within a half of it.
func (a *arcOuts) likeGap(off quantity.Seconds) bool {
	n := float64(a.job.Rotation.Speed)
	for _, g := range a.job.Deposit.Gaps {
		planned := float64(g.Width()) / 360 / n
		if n > 0 && math.Abs(float64(off)-planned) <= planned/2 {
			return true
		}
	}
	return false
}

// mayBeGap reports whether a time without arc that goes on may still turn out to
// be one of the planned gaps, by likeGap; where there are gaps and no rotation is
// declared, it always may.
func (a *arcOuts) mayBeGap(off quantity.Seconds) bool {
	longest := float64(a.job.Deposit.LongestGap()) / 360
	return float64(off) <= longest/float64(a.job.Rotation.Speed)*3/2
}

// stretch is a range of turns.
type stretch struct{ from, to float64 }

// unplanned returns the pieces of a way without arc that the plan has burning.
// What is no longer than so many degrees beside a gap is the arc's own lateness, or that
// of the angle.
func (a *arcOuts) unplanned(from, to float64, beside quantity.Degrees) []stretch {
	const grain = 1.0 / 720
	var found []stretch
	open, planned := stretch{from, from}, a.inGap(from)
	steps := int(math.Abs(to-from) / grain)
	for k := range steps {
		at := from + float64(k+1)*math.Copysign(grain, to-from)
		inGap := a.inGap(at)
		if inGap && !planned {
			open.to = at
			found = append(found, open)
		} else if !inGap && planned {
			open = stretch{at, at}
		}
		planned = inGap
	}
	if !planned {
		open.to = to
		found = append(found, open)
	}
	if len(found) == 1 && found[0] == (stretch{from, to}) {
		return found
	}
	kept := found[:0]
	for _, s := range found {
		if math.Abs(s.to-s.from)*360 > float64(beside) {
			kept = append(kept, s)
		}
	}
	return kept
}

// inGap tells whether the plan has no arc there; where the angle is not known, the
// reference mark stands in.
func (a *arcOuts) inGap(turns float64) bool {
	angle := quantity.Degrees(0)
	if p := a.torch.PlaceOf(turns); p != nil {
		angle = p.Angle
	}
	return a.job.Deposit.InGap(angle)
}

// open returns for how long the arc has been out where the plan has it burning.
// Where the angle is not told, a planned gap cannot be told from that
// before it has lasted for too long for one.
func (a *arcOuts) open(now pass.Position, off quantity.Seconds) (open []Open) {
	if a.burning || !told(now) && a.mayBeGap(off) {
		return nil
	}
	for _, f := range a.between(a.rested, now, off) {
		open = append(open, lasting(f.Rule, f.Start, f.Place, f.Duration, f.Limit))
	}
	return open
}
