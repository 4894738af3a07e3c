// Package now knows what is true at this moment: where the arc is, how every channel
// stands to its window, how far the pass has come and what its heat input will come
// to, and what the present turn has laid. It is for those who look on while a record
// is made; nothing of it enters a result, and to ask changes nothing.
//
// What it says rests on what the other rooms know already: where the torch is, what
// deviates, what was laid. By itself it keeps only the newest readings of the slow
// channels and the last turn of the pass under way.
//
// Everything costs as much whatever the length of the record. There are no errors:
// a pointer that is nil, and a word that is empty, are not known.
package now

import (
	"arctally/acquire/quantity"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// Status is what is true at this moment. A pointer that is nil, and a state
// that is empty, are not known.
type Status struct {
	// Moment is the newest sample that is taken into account: samples wait for
	// half a second for slower channels. Newest is the tick of the newest that
	// has come, on the same clock. Both mean nothing until Any is set.
	Moment pass.Moment
	Newest int64
	Any    bool

	ArcOn bool
	Since *quantity.Seconds // since the arc was struck, or went out
	InGap *bool             // whether the torch is in a planned gap

	// Means over the time that the procedure averages over.
	Voltage     Gauge[quantity.Volts]
	Current     Gauge[quantity.Amperes]
	WireSpeed   Gauge[quantity.MetresPerSecond]
	GasFlow     Gauge[quantity.CubicMetresPerSecond]
	Temperature Gauge[quantity.Celsius] // held against the interpass limit
	Travel      Gauge[quantity.MetresPerSecond]
	Rotation    Gauge[quantity.TurnsPerSecond] // against what keeps the travel in its window
	TravelBasis heat.TravelBasis               // of travel and rotation

	Pass     *Progress // nil between passes
	Forecast *Forecast // nil where the end of the pass is not known
	Where    *Where    // nil where the angle is not known

	Deviations []finding.Open // in progress; the longest-lasting first
	// Seen says what shows while no pass is under way and may be as it should be: wire that
	// feeds, with or without voltage. It is empty where nothing does.
	Seen string

	PlannedLayers *int
	Layer         *LayerSetting // as the present, or the last, layer should be laid
	NextLayer     *LayerSetting // nil after the last one

	// Passes are those that are complete; the warnings are counted as a pass ends,
	// and with every event.
	Passes, Findings, Warnings int
}

// Progress is the pass under way.
type Progress struct {
	// Pass is what the pass would be if it had ended with the newest sample in
	// arc; the formulas are those of a complete one.
	pass.Pass
	SinceStart   quantity.Seconds // until now, the arc out or not
	PlannedTurns *float64         // that this pass has to go
	Done         *quantity.Ratio  // share of them that is gone; not above 1
}

// Where is the place of the torch.
type Where struct {
	Turn int // of the pass, counted from 1
	// Part is which turn of a helix, which ring or which stroke of the layer is being laid, and
	// Parts how many the plan has of them; 0 is not known, or more than the plan has.
	Part, Parts int
	Turned      float64 // turns since the pass began
	Layer       int     // 0 is not known
	Angle       quantity.Degrees
	// AngleUncertainty is expanded, k = 2; at 180 nothing is known of the angle.
	AngleUncertainty quantity.Degrees
	Depth            quantity.Metres
	Basis            heat.TravelBasis
	LayerDone        *quantity.Ratio // share of the layer; not above 1
}

// LayerSetting is how a layer should be laid, by the plan.
type LayerSetting struct {
	Layer    int
	Diameter quantity.Metres
	Travel   quantity.MetresPerSecond
	Rotation quantity.TurnsPerSecond                 // that gives the travel
	Window   quantity.Range[quantity.TurnsPerSecond] // that keeps the travel in its window
}
