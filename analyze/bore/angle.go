package bore

import (
	"math"

	"arctally/acquire/quantity"
)

// fullTurn is one revolution in degrees.
const fullTurn = 360

// mostTurns is how many turns times fullTurn is a float64 at least.
const mostTurns = 1 << 40

// NormalAngle returns the same direction as an angle in [0, 360).
func NormalAngle(angle quantity.Degrees) quantity.Degrees {
	a := float64(angle)
	if math.Abs(a) < mostTurns*fullTurn {
		a -= math.Trunc(a/fullTurn) * fullTurn // the remainder to the bit, as neither step rounds; much quicker
	} else {
		a = math.Mod(a, fullTurn)
	}
	if a < 0 {
		a += fullTurn
	}
	if a >= fullTurn || a == 0 { // a tiny negative angle rounds up to a full turn; -0 is 0
		return 0
	}
	return quantity.Degrees(a)
}

// AngleDifference returns the shorter way from angle b to angle a, clockwise
// positive, in (-180, 180].
func AngleDifference(a, b quantity.Degrees) quantity.Degrees {
	d := NormalAngle(a - b)
	if d > fullTurn/2 {
		return d - fullTurn
	}
	return d
}

// Width returns the angle from From clockwise to To, over the reference mark
// where need be, in [0, 360).
func (g Gap) Width() quantity.Degrees { return NormalAngle(g.To - g.From) }

// Contains reports whether an angle lies in the gap; From does, To does not.
func (g Gap) Contains(angle quantity.Degrees) bool {
	return NormalAngle(angle-g.From) < g.Width()
}

// InGap reports whether an angle lies in one of the gaps.
func (d Deposit) InGap(angle quantity.Degrees) bool {
	for _, g := range d.Gaps {
		if g.Contains(angle) {
			return true
		}
	}
	return false
}

// Welded returns how many degrees of a way from an angle the gaps leave to be
// welded; a way below 0 goes anti-clockwise, and what it leaves is above 0 too.
func (d Deposit) Welded(from, way quantity.Degrees) quantity.Degrees {
	if way < 0 {
		from, way = from+way, -way
	}
	turns := quantity.Degrees(math.Floor(float64(way / fullTurn)))
	left, rest := way, way-turns*fullTurn
	for _, g := range d.Gaps {
		left -= turns*g.Width() + overlap(from, rest, g.From, g.Width())
	}
	return left
}

// LongestGap returns the width of the widest gap, 0 without gaps. Gaps that
// touch are one to the arc: what lies between two welded angles.
func (d Deposit) LongestGap() quantity.Degrees {
	longest := quantity.Degrees(0)
	for _, g := range d.Gaps {
		longest = max(longest, d.joined(g).Width())
	}
	return longest
}

// joined returns a gap with every other one that begins where it ends. Each
// step takes another gap, so that gaps all around cannot go on for ever.
func (d Deposit) joined(g Gap) Gap {
	for range d.Gaps {
		for _, next := range d.Gaps {
			if NormalAngle(next.From) == NormalAngle(g.To) {
				g.To = next.To
				break
			}
		}
	}
	return g
}

// WeldedShare returns the share of a turn that the gaps leave to be welded.
func (d Deposit) WeldedShare() quantity.Ratio {
	left := quantity.Degrees(fullTurn)
	for _, g := range d.Gaps {
		left -= g.Width()
	}
	return quantity.Ratio(left / fullTurn)
}

// PlannedArcOnRatio returns the arc time over the elapsed time of a pass that
// goes as planned. A ring or a helical run crosses every gap once a turn:
//
//	ratio = 1 - (sum of gap widths)/360
//
// A stroke of a segment begins and ends at a gap, and a straight bead has none:
// their arc is on all the way, and the ratio is 1.
func (d Deposit) PlannedArcOnRatio() quantity.Ratio {
	if d.Pattern != Helix && d.Pattern != Rings {
		return 1
	}
	return d.WeldedShare()
}
