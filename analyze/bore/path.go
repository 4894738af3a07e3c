package bore

import (
	"fmt"
	"math"

	"arctally/acquire/quantity"
)

// SurfaceSpeed returns how fast the torch travels over the wall:
//
//	v = pi*D*n
//
// with the diameter D in m and the rotation n in 1/s.
func SurfaceSpeed(diameter quantity.Metres, n quantity.TurnsPerSecond) quantity.MetresPerSecond {
	return quantity.MetresPerSecond(math.Pi * float64(diameter) * float64(n))
}

// RotationFor returns the rotation that gives a surface speed, the inverse of
// SurfaceSpeed; a diameter of 0 has none, and gives an infinite one.
//
//	n = v/(pi*D)
func RotationFor(diameter quantity.Metres, v quantity.MetresPerSecond) quantity.TurnsPerSecond {
	return quantity.TurnsPerSecond(float64(v) / (math.Pi * float64(diameter)))
}

// HelixPathPerTurn returns the length of bead in one turn of a helix:
//
//	s = sqrt((pi*D)^2 + p^2)
//
// with the diameter D and the pitch p in m.
func HelixPathPerTurn(diameter, pitch quantity.Metres) quantity.Metres {
	return quantity.Metres(math.Hypot(math.Pi*float64(diameter), float64(pitch)))
}

// PathPerTurn returns the torch's way in one turn: the helix, or the
// circumference for patterns that step between turns. It panics for a straight
// bead, which has no turns, and for a pattern that does not exist.
func PathPerTurn(pattern Pattern, diameter, pitch quantity.Metres) quantity.Metres {
	switch pattern {
	case Helix:
		return HelixPathPerTurn(diameter, pitch)
	case Rings, SegmentReversing, SegmentOneWay:
		return math.Pi * diameter
	default:
		panic(fmt.Sprintf("bore: a bead laid as %q has no turns", pattern))
	}
}

// TurnsForLength returns how many turns advance the torch over a length at a
// pitch; not a whole number in general.
func TurnsForLength(length, pitch quantity.Metres) float64 {
	return float64(length / pitch)
}

// TurnsPerLayer returns the turns that cover the bore once: as many as the
// pitch needs for a helix, whole ones for patterns that step between turns. It
// panics where PathPerTurn does.
func TurnsPerLayer(b Bore, d Deposit) float64 {
	switch d.Pattern {
	case Helix:
		return TurnsForLength(b.Length, d.Pitch)
	case Rings, SegmentReversing, SegmentOneWay:
		return float64(RingsPerLayer(b, d))
	default:
		panic(fmt.Sprintf("bore: a bead laid as %q has no turns", d.Pattern))
	}
}

// wholeTurn is how far a count of turns may exceed a whole number and still be
// that number: binary fractions of a millimetre do not divide evenly, and 60 mm
// at 3 mm are 20 rings, not 21.
const wholeTurn = 1e-9

// RingsPerLayer returns the rings side by side that cover the bore once. The
// last one may reach over the end of the bore.
func RingsPerLayer(b Bore, d Deposit) int {
	return int(math.Ceil(TurnsForLength(b.Length, d.Pitch) - wholeTurn))
}
