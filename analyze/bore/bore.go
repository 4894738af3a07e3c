// Package bore knows the geometry of a bore that is welded up from inside:
// its diameters, the patterns in which beads are laid, how thick a layer
// becomes, and where an angle and a depth are. Everything is pure computation.
//
// Formulas. D is the diameter being welded, n the rotation, p the pitch, A the
// cross-section of the bead and t the thickness of the layer:
//
//	v = pi*D*n                         surface speed
//	s = sqrt((pi*D)^2 + p^2)           path of one turn of a helix
//	A = eff*(pi/4*d^2)*WFS/v           bead from wire of diameter d, fed at WFS
//	t = D/2 - sqrt(D^2/4 - A*D/p)      layer on the wall of a bore
//	D of a layer = worn diameter - 2*(sum of t of the layers below)
//
// All are plain geometry and conservation of volume; where a figure comes from
// somewhere else, its source stands beside it. Nothing here is taken from a
// standard.
//
// Terms. A place is an angle in degrees from the reference mark, clockwise seen
// from the torch side, and a depth from the entry face. A gap is a range of
// angles left unwelded on purpose. A layer covers the bore once at one diameter.
//
// Errors: a layer that would fill the bore is a *FilledError; a thickness that
// rests on a rate nobody declared is ErrNotDeclared; more metal weighed than wire is
// a *WeighedError.
package bore

import "arctally/acquire/quantity"

// Pattern names how a layer is laid.
type Pattern string

// The patterns.
const (
	Helix            Pattern = "helix"             // one helical run a layer
	Rings            Pattern = "rings"             // closed rings side by side
	SegmentReversing Pattern = "segment-reversing" // strokes, arc on both ways
	SegmentOneWay    Pattern = "segment-one-way"   // strokes, arc on one way, cold return
	Straight         Pattern = "straight"          // beads on a plate: a test coupon
)

// Bore is the hole to be repaired; lengths in m.
type Bore struct {
	WornDiameter   quantity.Metres
	FinishDiameter quantity.Metres
	WeldToDiameter quantity.Metres
	Length         quantity.Metres
	Axis           string // horizontal, vertical or an angle, as written
}

// Gap is a range of angles left unwelded, from From clockwise to To; a gap
// over the reference mark has From > To.
type Gap struct{ From, To quantity.Degrees }

// Deposit is how the metal is to be laid.
type Deposit struct {
	Pattern      Pattern
	Pitch        quantity.Metres // axial advance per turn, or from ring to ring
	WireDiameter quantity.Metres
	Efficiency   quantity.Ratio  // deposited mass over wire mass
	Length       quantity.Metres // straight: length of a bead; 0 is not declared
	Gaps         []Gap
}

// FallPerTurn is how much deeper the bead comes with each turn of one pass: only that of a
// helix does.
func (d *Deposit) FallPerTurn() quantity.Metres {
	if d.Pattern != Helix {
		return 0
	}
	return d.Pitch
}

// Place is a spot on the wall of the bore.
type Place struct {
	Angle quantity.Degrees // 0 <= Angle < 360
	Depth quantity.Metres
	// AngleUncertainty is expanded, k = 2; at 180 nothing is known of the angle.
	AngleUncertainty quantity.Degrees
}
