package rotation

import (
	"arctally/acquire/quantity"
	"arctally/analyze/heat"
)

// Origin names what a rotation was found from.
type Origin string

// What a rotation was found from.
const (
	FromCounts  Origin = "turn counts"
	FromGaps    Origin = "gap rhythm"     // the arc out at the planned gaps, once a turn
	FromCurrent Origin = "current rhythm" // the once-a-turn swing of the current
	FromPlan    Origin = "plan"
)

// Account is how fast the torch turned in a pass, and how that is known.
type Account struct {
	Speed       quantity.TurnsPerSecond // mean over the pass; 0 is not known
	Uncertainty quantity.TurnsPerSecond // standard, of Speed; 0 is not known
	Declared    quantity.TurnsPerSecond // 0 is not declared
	Basis       heat.TravelBasis
	From        Origin
	Wander      quantity.Degrees // derived: how far from an even rotation the torch was, root mean square
	Searched    float64          // turns in which a rhythm was looked for; 0 is nowhere
	// Unevenness is the relative standard uncertainty of the rotation at one angle,
	// because between two counts nobody sees whether it is even.
	Unevenness quantity.Ratio
	Angle      AngleBasis // what the angles of the pass rest on
	Said       *Said      // by whom, where a person said it
}

// Settle decides, for the whole of a pass that ends, what its rotation rests on,
// and reports whether what its turns were taken for has changed with that.
func (t *Torch) Settle() bool {
	if !t.rhythm.searched {
		return false
	}
	t.derived = estimate{}
	t.derive()
	return true
}

// Account returns the rotation of a pass in which the torch made so many turns
// in a time in ns.
func (t *Torch) Account(turned float64, elapsed int64) Account {
	a := Account{Declared: quantity.TurnsPerSecond(t.declared * 1e9), Basis: t.Basis(), From: FromPlan, Unevenness: t.unseen(), Angle: t.anchors.basis, Said: t.anchors.by}
	if t.rhythm.searched {
		a.Searched = t.rhythm.turns
	}
	switch a.Basis {
	case heat.TravelMeasured:
		t.byCounts(&a, turned, float64(elapsed)*1e-9)
	case heat.TravelDerived:
		e := t.derived
		a.From = e.from
		a.Speed = quantity.TurnsPerSecond(e.order) * a.Declared
		a.Uncertainty = quantity.TurnsPerSecond(e.uncertainty) * a.Declared
		a.Wander = quantity.Degrees(360 * e.wander)
	default:
		a.Speed = a.Declared
	}
	return a
}

// byCounts is the mean rotation by counts, with what is not known of either end.
func (t *Torch) byCounts(a *Account, turned, seconds float64) {
	a.From = FromCounts
	if seconds > 0 && t.counts.perTurn > 0 {
		a.Speed = quantity.TurnsPerSecond(turned / seconds)
		a.Uncertainty = quantity.TurnsPerSecond(t.turnedDoubt() / seconds)
	}
}

// Doubt returns the relative standard uncertainty of a derived rotation.
func (t *Torch) Doubt() float64 { return t.derived.relative() }
