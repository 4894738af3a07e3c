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
	place  *bore.Place
}

// Burn implements pass.Listener. It looks whether the torch is well inside a
// planned gap, which only counted turns can tell.
func (g *gapArc) Burn(b *pass.Bucket) {
	if len(g.job.Deposit.Gaps) == 0 || b.TurnsBasis != heat.TravelMeasured {
		return
	}
	place := g.torch.PlaceOf(b.Turns)
	deep := g.deep(place.Angle)
	switch {
	case deep && !g.inside:
		g.inside, g.start, g.place = true, b.End, place
	case !deep:
		g.leave(b.End)
	}
}

// Rest implements pass.Listener.
func (g *gapArc) Rest(at pass.Position) { g.leave(at.Tick) }

// deep reports whether an angle is in a gap by more than its edge.
func (g *gapArc) deep(angle quantity.Degrees) bool {
	d := &g.job.Deposit
	return d.InGap(angle) && d.InGap(angle-edge) && d.InGap(angle+edge)
}

// leave ends what has begun, and files it if it lasted.
func (g *gapArc) leave(tick int64) {
	for _, o := range g.open(tick) {
		if o.Certain {
			g.add(Finding{Rule: o.Rule, Start: o.Since, Place: o.Place, Duration: o.Lasted, Worst: o.Worst, Limit: o.Limit})
		}
	}
	g.inside = false
}

// open returns what goes on.
func (g *gapArc) open(tick int64) []Open {
	if !g.inside {
		return nil
	}
	return []Open{lasting(ArcInGap, g.moment(g.start), g.place, quantity.SecondsOf(tick-g.start), float64(g.limits(ArcInGap).High))}
}
