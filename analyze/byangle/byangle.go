// Package byangle knows what the arc does at which angle of the bore, turn upon
// turn: voltage, current, power and wire by angle, and what of it repeats.
//
// Terms. A sweep is what is looked at together: the passes of one layer where
// the angle is known for all of them, else one helical pass whose rotation was
// derived. Its first harmonic swings once a turn, its second twice. A torch off
// the centre of the bore comes nearer to the wall on one side; a constant wire
// feed then needs more current to melt a shorter free wire, so the current
// has its crest where the wall is near. An oval bore has two such sides. With the
// melting law of a wire,
//
//	m = a*I + b*L*I^2
//
// m the wire speed, I the current and L the free length, a constant feed gives
//
//	dI/dL = -b*I^2 / (a + 2*b*L*I)
//
// (source: check value WD-17, textbook form). One working point does not tell a
// from b, so the sensitivity dI/dL is taken from the job, where somebody has
// measured it at the machine, and never guessed: without it, the swing is a share
// of the current and no length. The arc dips, and the formula is that of one that
// does not: the virtual sensor box, tried like a machine, has twice as much.
//
// The crest leads the place where the wall is nearest, because there the wire has
// been melted back already: by about
//
//	lead = w / (b*I^2)
//
// with w the rotation in rad/s; some 3 degrees at 1.25 rpm in the virtual sensor
// box. It is not taken off, since b is not known.
//
// Gravity does the same to the pool. Where the axis is not vertical, welding goes
// round through flat, vertical up, overhead and vertical down once a turn, and a
// swing that stands still in space is as likely that as a torch off the centre.
//
// Errors: there are none. What cannot be told is missing.
package byangle

import (
	"arctally/acquire/quantity"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// Bins is how many parts a turn has; one is 5 degrees.
const Bins = 72

// Bin is the mean of one part of the turn over all turns; zero weight is none.
type Bin struct {
	ArcTime   quantity.Seconds
	Voltage   quantity.Volts
	Current   quantity.Amperes
	Power     quantity.Watts
	WireSpeed quantity.MetresPerSecond // 0 is not known
}

// Swing is one harmonic of the current.
type Swing struct {
	Known       bool           // there was enough to tell it from noise
	Found       bool           // and it is none
	Amplitude   quantity.Ratio // of the mean current, from mean to crest
	Uncertainty quantity.Ratio // standard
	Least       quantity.Ratio // what would have been found
	Chance      float64        // that noise alone looks like it
	Crest       quantity.Degrees
	CrestDoubt  quantity.Degrees // standard uncertainty of Crest
	// Distance is by how much tip-to-work distance swings from its mean, and
	// DistanceDoubt its standard uncertainty; nil where the job does not say how
	// the current follows the distance.
	Distance, DistanceDoubt *quantity.Metres
}

// Turn is the means of one turn of a sweep.
type Turn struct {
	Number int // from 1 within the sweep
	Bin
}

// Sweep is what one layer, or one pass, says by angle.
type Sweep struct {
	Layer       int // 0 is not known
	First, Last int // passes
	Start       pass.Moment
	Depth       quantity.Metres // where it began
	Turns       float64
	Basis       heat.TravelBasis // what the angles rest on
	Mean        Bin
	Bins        [Bins]Bin
	ByTurn      []Turn
	OffCentre   Swing // once a turn; the crest is where the torch is nearest
	Oval        Swing // twice a turn; the crest is where the bore is narrowest, from 0 to 180
	// Moved is how far the once-a-turn swing lies from that of the sweep before,
	// as a vector; Shifted says that noise alone does not explain it.
	Moved   quantity.Ratio
	Shifted bool

	cos, sin, doubt float64 // of the first harmonic, as a share of the current
}
