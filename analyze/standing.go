package analyze

import (
	"arctally/acquire/quantity"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// Standing is where the arc stands right now. A pointer that is nil, and a state
// that is empty, are not known.
type Standing struct {
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

	PlannedLayers *int
	Layer         *LayerSetting // as the present, or the last, layer should be laid
	NextLayer     *LayerSetting // nil after the last one

	// Passes are those that are complete; the warnings are counted as a pass ends,
	// and with every event.
	Passes, Findings, Warnings int
}

// Gauge is one channel as it stands.
type Gauge[Q quantity.Quantity] struct {
	Value *Q
	// Low and High are the lowest and the highest of the means over 10 ms that
	// the value is the mean of; only voltage and current have them.
	Low, High *Q
	Window    quantity.Range[Q] // of the procedure; zero where it has none
	State     WindowState
	// Age is how old the newest reading is; 0 for voltage and current.
	Age quantity.Seconds
}

// WindowState tells how a value stands to its window; the empty one is not
// judged: there is no window, no value, or the arc has burned for less time than
// the mean is taken over.
type WindowState string

// The states. Near is within a tenth of the window's width of a limit, or of the
// limit itself where there is only one. Ours; no source.
const (
	Inside   WindowState = "in window"
	NearEdge WindowState = "near a limit"
	Outside  WindowState = "outside"
)

// Progress is the pass under way.
type Progress struct {
	// Pass is what the pass would be if it had ended with the newest sample in
	// arc; the formulas are those of a complete one.
	pass.Pass
	SinceStart   quantity.Seconds // until now, the arc out or not
	PlannedTurns *float64         // that this pass has to go
	Done         *quantity.Ratio  // share of them that is gone; not above 1
}

// Forecast is where the heat input of the pass will end if the torch goes on as
// it does:
//
//	E = (W + P*t)/(L + l)
//
// with the energy W and the path L so far, the path l that the plan still has to
// weld, the time t that it takes at the present rotation, and the mean power P
// over the arc time of the last whole turn, or of what there is of it. When
// nothing is left, it is the value of the pass. It takes for granted that the
// arc burns wherever the plan has it burning from here on.
type Forecast struct {
	Definition   procedure.Definition    // what the value is: heat input or arc energy
	Value        quantity.JoulesPerMetre // that the limits are about
	Expanded     quantity.JoulesPerMetre // uncertainty of it, k = 2, by what is known so far
	Window       quantity.Range[quantity.JoulesPerMetre]
	State        WindowState
	Verdict      heat.Verdict     // that the pass would get
	Remaining    quantity.Seconds // until the end of the pass, planned gaps included
	RemainingArc quantity.Seconds
	Power        quantity.Watts // P
	PowerTurns   float64        // turns that P was taken over; 0 for a bead on a plate
}

// Where is the place of the torch.
type Where struct {
	Turn      int     // of the pass, counted from 1
	Turned    float64 // turns since the pass began
	Layer     int     // 0 is not known
	Angle     quantity.Degrees
	Depth     quantity.Metres
	Basis     heat.TravelBasis
	LayerDone *quantity.Ratio // share of the layer; not above 1
}

// LayerSetting is how a layer should be laid, by the plan.
type LayerSetting struct {
	Layer    int
	Diameter quantity.Metres
	Travel   quantity.MetresPerSecond
	Rotation quantity.TurnsPerSecond                 // that gives the travel
	Window   quantity.Range[quantity.TurnsPerSecond] // that keeps the travel in its window
}

// Ring is the turn that is being laid, cell by cell, as the map of the wall has
// it: only what the pass under way has put down. Where the torch has not come in
// this turn, the cell is that of the turn before, as far as it is of this pass.
type Ring struct {
	Pass, Layer, Turn int              // no pass is 0
	Angle             quantity.Degrees // of the torch
	Cells             []RingCell       // clockwise from the reference mark
	Arcs              []RingArc        // where something deviates, in this turn and the one before
}

// RingCell is one cell of a ring.
type RingCell struct {
	From, To quantity.Degrees
	Planned  quantity.Ratio // share of the cell that is no planned gap
	Burned   quantity.Ratio // share of the cell over which the arc has burned so far
	Before   bool           // it is of the turn before
	ArcTime  quantity.Seconds
	Energy   quantity.Joules
	// ArcEnergy is energy over bead path, HeatInput k times that; nil where no
	// bead was laid, or k is not known.
	ArcEnergy, HeatInput *quantity.JoulesPerMetre
}

// RingArc is a range of angles, in the direction of the torch, in which something
// deviates.
type RingArc struct {
	From, To quantity.Degrees
	Rule     finding.Rule
	Finding  int // its number; 0 is in progress
}
