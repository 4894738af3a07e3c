package sensorbox

import (
	"cmp"

	"arctally/acquire/link"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
)

// Pattern names how a layer is laid.
type Pattern string

// The patterns that the box can lay.
const (
	Helix Pattern = "helix" // one helical run a layer
	Rings Pattern = "rings" // closed rings side by side
	// Strokes over the segments between gaps, a pitch apart: with the arc on both
	// ways, or on one way and a cold return.
	SegmentReversing Pattern = "segment-reversing"
	SegmentOneWay    Pattern = "segment-one-way"
)

// Gap is a range of angles left unwelded, from From clockwise to To; a gap over
// the reference mark has From > To. From belongs to the gap, To does not.
type Gap struct{ From, To quantity.Degrees }

// Plan is what the box lays and how it speaks. Where a comment names a default,
// zero stands for it; the other fields have none.
type Plan struct {
	WornDiameter quantity.Metres // of the bore, before the first layer
	Length       quantity.Metres // of the bore
	Pattern      Pattern         // default Helix
	Pitch        quantity.Metres // per turn, or from ring to ring, or stroke to stroke
	Gaps         []Gap
	Layers       int // default 1

	RotationSpeed quantity.TurnsPerSecond // negative turns anti-clockwise
	StartAngle    quantity.Degrees        // of strokes: where a segment begins
	Standoff      quantity.Metres         // contact tip to wall, set anew for each layer; default by wire diameter

	WireDiameter quantity.Metres
	Voltage      quantity.Volts           // the working point the source is set for:
	Current      quantity.Amperes         // Voltage at Current
	WireSpeed    quantity.MetresPerSecond // set at the feeder
	GasFlow      quantity.CubicMetresPerSecond

	Lead       quantity.Seconds // quiet time before the first and after the last pass; default 2 s
	LayerPause quantity.Seconds // torch drawn back and set anew; default 25 s
	RingPause  quantity.Seconds // stepping over to the next ring or stroke; default 3 s
	Hold       quantity.Seconds // an arc-out shorter than this does not end an arc interval; default 0.3 s

	// What people and drives do with the torch. JogBefore is how far it is turned
	// before the first strike, clockwise above 0, JogBetween how far away and back
	// again in each pause; both without arc, and the torch then stands where the pass
	// begins. Wobble is the share by which the rotation swings once a turn.
	JogBefore  float64 // turns
	JogBetween float64 // turns
	Wobble     quantity.Ratio

	// What a box does with its turn counter. With IndexFlag, or another number of
	// counts in a turn than the usual one, the edge of a count lies at the mark; else
	// it lies where the torch stood at boot.
	CountsPerTurn int              // default 360
	CountsLate    quantity.Seconds // no count is sent until so long after the first strike
	GatherCounts  quantity.Seconds // how long counts are gathered before they are sent; default 50 ms
	OnlyChanges   bool             // no count is sent that is not a new one
	IndexFlag     bool             // the count at the mark is flagged, and ends its frame

	Faults []Fault

	Serial     string         // that the box says; default VSB-1
	Link       string         // binary, sums (binary with SUMS frames), delimited, lineprotocol, columns, modbus (Play alone); default binary
	SampleRate quantity.Hertz // of voltage and current; default 10 kHz; must divide 100 kHz
	Seed       uint64         // one seed, one signal
	Part       Part           // what this box says of all that is laid; default all
	// PlaySpeed is how many seconds of the box pass in one second of the wall
	// clock while it plays on its port; 0 is as fast as the reader takes them.
	PlaySpeed float64
}

// Demo returns the plan of the demo job: two layers in the bore of a boom pin
// with an unwelded keyway, 0.9 mm wire.
func Demo() Plan {
	return Plan{
		WornDiameter: quantity.Of[quantity.Metres](92, "mm"), Length: quantity.Of[quantity.Metres](60, "mm"),
		Pattern: Helix, Pitch: quantity.Of[quantity.Metres](3, "mm"), Layers: 2,
		Gaps:          []Gap{{From: 80, To: 116}},
		RotationSpeed: quantity.Of[quantity.TurnsPerSecond](1.25, "rpm"),
		WireDiameter:  quantity.Of[quantity.Metres](0.9, "mm"),
		Voltage:       17.5, Current: 140,
		WireSpeed: quantity.Of[quantity.MetresPerSecond](5.5, "m/min"),
		GasFlow:   quantity.Of[quantity.CubicMetresPerSecond](15, "L/min"),
		Seed:      1,
	}
}

// unfiltered is the bandwidth of a signal that is computed instant by instant, in Hz:
// more than any sampling of it could show.
const unfiltered = 1e6

// Source returns what the box says of itself in HELLO, and what scales the
// blocks of Each have.
func (p Plan) Source() series.Source {
	all := p.whole()
	switch p.Part {
	case ArcPart:
		all.Channels = all.Channels[:arcChannels]
	case BesidePart:
		all.Name, all.Serial, all.CountsPerTurn, all.WirePerCount = series.VirtualBox+" beside", "VSB-2", 0, 0
		all.Skew, all.Channels = series.Stated{}, all.Channels[arcChannels:]
	}
	return all
}

// Part is what one of two boxes says that lay a plan together.
type Part string

// The parts of two boxes on the binary link.
const (
	ArcPart    Part = "arc"    // voltage, current and the turns of the torch
	BesidePart Part = "beside" // wire speed, gas flow and temperature
)

// arcChannels is how many channels the first of two boxes has.
const arcChannels = 2

// whole is a box that says everything.
func (p Plan) whole() series.Source {
	return series.Source{
		Name: series.VirtualBox, Serial: cmp.Or(p.Serial, "VSB-1"), Firmware: "1.0", Calibration: "exact",
		Link: link.Binary, CountsPerTurn: float64(cmp.Or(p.CountsPerTurn, countsPerTurn)), WirePerCount: wirePerCount,
		// Voltage and current of an instant are computed together, and stand at the ticks of
		// a clock that is the time of the plan. The energy that Truth tells is that of this
		// voltage, so that nothing lies between its tap and what it is held against.
		Skew: series.Stated{Known: true}, ClockDeviation: series.Stated{Known: true},
		Channels: []series.Channel{
			{Name: "voltage", Unit: "V", Scale: voltageScale, Bits: 16, Basis: series.Instantaneous, Bandwidth: unfiltered, Tap: "torch"},
			{Name: "current", Unit: "A", Scale: currentScale, Bits: 16, Basis: series.Instantaneous, Bandwidth: unfiltered},
			wireSpeedChannel:   {Name: "wire_speed", Unit: "m/s", Scale: 1, Basis: series.Average},
			gasFlowChannel:     {Name: "gas_flow", Unit: "L/min", Scale: 1, Basis: series.Instantaneous},
			temperatureChannel: {Name: "temperature", Unit: "degC", Scale: 1, Basis: series.Instantaneous},
		},
	}
}
