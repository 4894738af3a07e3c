package finding

import (
	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// gapArc judges an arc that burns inside a planned gap.
type gapArc struct {
	deaf
	*ledger
	inside bool
	start  int64 // tick
	turns  float64
	place  bore.Place
}

// Burn implements pass.Listener. It looks whether the torch is well inside a
// planned gap, which only counted turns can tell.
func (g *gapArc) Burn(b *pass.Bucket) {
	if len(g.job.Deposit.Gaps) == 0 || b.TurnsBasis != heat.TravelMeasured {
		return
	}
	place, known := g.torch.Locate(b.Turns)
	deep := known && g.deep(&place)
	switch {
	case deep && !g.inside:
		g.inside, g.start, g.turns, g.place = true, b.End, b.Turns, place
	case !deep:
		g.leave(b.End, b.Turns)
	}
}

// Rest implements pass.Listener.
func (g *gapArc) Rest(at pass.Position) { g.leave(at.Tick, at.Turns) }

// deep reports whether a place is in a gap by more than its edge, and by more than the
// angle may be off.
func (g *gapArc) deep(place *bore.Place) bool {
	d, reach := &g.job.Deposit, edge+place.AngleUncertainty
	if reach > vague {
		return false
	}
	for _, off := range []quantity.Degrees{0, -reach, reach, -reach / 2, reach / 2} { // a wide gap comes round again
		if !d.InGap(place.Angle + off) {
			return false
		}
	}
	return true
}

// vague is the uncertainty of an angle, in degrees, beyond which no planned gap is told
// by it. Ours, no source.
const vague = 60

// leave ends what has begun, and files it if it lasted.
func (g *gapArc) leave(tick int64, turns float64) {
	for _, o := range g.open(tick) {
		if o.Certain {
			g.add(Finding{Rule: o.Rule, Start: o.Since, Place: o.Place, Way: way(g.turns, turns), Duration: o.Lasted, Worst: o.Worst, Limit: o.Limit})
		}
	}
	g.inside = false
}

// open returns what goes on.
func (g *gapArc) open(tick int64) []Open {
	if !g.inside {
		return nil
	}
	at := g.place
	return []Open{lasting(ArcInGap, g.moment(g.start), &at, quantity.SecondsOf(tick-g.start), float64(g.limits(ArcInGap).High))}
}
