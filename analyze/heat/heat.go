// Package heat knows what heat a pass put into the wall: energy from samples,
// arc energy and heat input per length under both definitions, their
// uncertainty, and the rule that turns a number and its doubt into a verdict.
//
// Terms. E is the arc energy per length of bead; the American codes call it
// heat input. Q is the heat input of EN 1011-1:
//
//	E = W / s        W energy in J over the arc time, s net path length in m
//	Q = k * E        k thermal efficiency of the process
//
// Every result says which of the two it is, and what its power rests on. A component
// is one reason why a heat input is not known better, a budget lists them all; u is
// their combined standard uncertainty, U = k*u with k = 2 the expanded one. The guard
// band is the share of U by which a value must keep from a limit to be proved on its
// side of it. A stand-in is a published or customary figure in the place of one that
// nobody knows.
// Signals are what is said of the way from the arc to the samples: skew, filters, tap
// and leads, clock. What is said widens the uncertainty and corrects nothing; what is
// not said has a worst case and its name, so that nothing is proved on it.
//
// The formulas stand at the functions, each with its source and how far that was read.
//
// There are no errors: what is not known makes no component, or a stand-in. A caller's
// bug panics.
package heat

// Verdict is the four-way answer of a guard-banded comparison with a window.
// The empty verdict means that there is no window, or nothing to compare.
type Verdict string

// The verdicts. The guard band is a share of the expanded uncertainty.
const (
	Within           Verdict = "within"                              // inside, by more than the guard band
	WithinNearLimit  Verdict = "within, closer than the guard band"  // inside, but not proved
	OutsideNearLimit Verdict = "outside, closer than the guard band" // outside, but not proved
	Outside          Verdict = "outside"                             // outside, by more than the guard band
)

// TravelBasis tells what a travel speed rests on.
type TravelBasis string

// The bases of a travel speed.
const (
	TravelMeasured TravelBasis = "measured" // turn pulses
	TravelDerived  TravelBasis = "derived"  // the signal's own once-a-turn rhythm
	TravelDeclared TravelBasis = "declared" // the plan
)
