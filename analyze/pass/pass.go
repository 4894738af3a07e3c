// Package pass knows what makes one pass: it puts together what the arc does (package
// arc) and where the torch is (package rotation).
//
// Terms. A pass is one bead laid without repositioning: the arc intervals of one
// ring, of one helical run of a layer, or of one segment stroke; a planned gap never
// ends it. It ends where its pattern has it complete, where the torch turned back or
// went on, where the arc stayed out for too long, or where a person said so. A
// layer is the passes that cover the bore once at one diameter. A course is how a
// pass stands in the order that the pattern plans. Two rings, or two strokes, part
// where the torch goes on from one to the next with the arc burning; the closing is
// where the first of them ended.
//
// What a pass comes to:
//
//	arc-on ratio = arc time / time from its first sample in arc to its last
//	path         = turns in arc * path of a turn       (package bore)
//	travel speed = path / arc time
//	arc energy   = energy / path                       (package heat)
//
// Everything is streaming and in constant memory, and depends on the samples
// alone: any division of them into blocks gives the same bits.
package pass

import (
	"cmp"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/rotation"
	"arctally/analyze/waveform"
)

// Moment is a tick of an epoch of the source.
type Moment struct {
	Epoch int
	Tick  int64 // ns
}

// Compare is below 0 where the moment comes before another one, above 0 where after.
func (m Moment) Compare(other Moment) int {
	return cmp.Or(cmp.Compare(m.Epoch, other.Epoch), cmp.Compare(m.Tick, other.Tick))
}

// Pass is one bead. A pointer that is nil stands for a quantity that is not known.
type Pass struct {
	Number  int
	Layer   int
	Pattern bore.Pattern
	Start   Moment // first sample in arc
	End     Moment // last sample in arc

	Elapsed          quantity.Seconds
	ArcTime          quantity.Seconds
	ArcOnRatio       quantity.Ratio
	PlannedArcOn     quantity.Ratio
	Intervals        int              // arc intervals
	GapTime          quantity.Seconds // time without data inside the pass
	HeldTime         quantity.Seconds // time in which the source held its last values
	ArcOnRatioHeldIn quantity.Ratio   // what the arc-on ratio would have been with held values
	MayBeHeld        *WithoutMayBeHeld
	BriefArcOuts     int              // arc-outs shorter than the hold time
	BriefArcOutTime  quantity.Seconds // all of them together

	VoltageMean *quantity.Volts // means are over arc time
	CurrentMean *quantity.Amperes
	PowerMean   *quantity.Watts
	PowerBasis  series.Basis
	// Unprotected is set where some of it came by a link that shows neither what is
	// missing nor what was changed on the way.
	Unprotected bool
	Energy      quantity.Joules

	Wire    *quantity.Metres
	Deposit *quantity.Kilograms

	Diameter    quantity.Metres // being welded; 0 for a bead on a plate
	StartPlace  *bore.Place
	EndPlace    *bore.Place
	Turns       *float64
	Travel      *quantity.Metres // net path length of the bead
	TravelSpeed *quantity.MetresPerSecond
	TravelBasis heat.TravelBasis

	ArcEnergy           *quantity.JoulesPerMetre
	HeatInput           *quantity.JoulesPerMetre
	ExpandedUncertainty *quantity.JoulesPerMetre // of the heat input, k = 2
	Budget              heat.Budget              // what the uncertainty is made of
	Verdict             heat.Verdict
	Findings            int
	Course              Course
	AtStart             AtStart
	EndedBy             string // who ended the pass by hand; empty where it ended by itself

	Waveform *waveform.Statistics
	Rotation rotation.Account
}
