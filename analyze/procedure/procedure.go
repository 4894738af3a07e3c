// Package procedure knows what was planned: the qualified procedure with its
// window and the rule by which it judges, and the job file with the bore, the
// set-points, the people and the instruments. It parses both from strict YAML.
//
// A value outside of what is usual is a doubt, unless the document says it again on
// purpose, under sure in the shape in which it stands:
//
//	bore: {worn_diameter: 9 m, length: 60 mm}
//	sure: {bore: {worn_diameter: 9 m}}
//
// Errors: an unknown key, a value without its unit, a reversed range, an
// impossible value or overlapping gaps is an *Error with file, line and column.
// A document is read to its end, and everything wrong in it comes back as one
// Errors; where it is not YAML at all, the line is known but no column.
package procedure

import (
	"slices"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/plausible"
)

// Definition names what a procedure means by heat input.
type Definition string

// The two definitions; E is the arc energy per length, k the thermal efficiency.
const (
	ArcEnergy Definition = "arc energy" // E, which the American codes call heat input
	EN1011    Definition = "EN 1011-1"  // k*E
)

// Procedure is the qualified window and the rule of judging it.
type Procedure struct {
	Name    string
	Process string // MAG, MIG, MMA, TIG, SAW, plasma, cored wire
	// Transfer is how the metal goes over to the pool: dip, spray, globular, pulsed.
	// Empty is not said, and not judged.
	Transfer string
	Limits   Limits
	Judge    Judge
	Typed    Typed
}

// Typed is what was doubted of the values of a document.
type Typed struct {
	Doubts []*plausible.Doubt // outside of what is usual, and not said again on purpose
	Kept   []*plausible.Doubt // said again on purpose, under sure
}

// Limits are the windows of the procedure; a zero range is not judged.
type Limits struct {
	Voltage     quantity.Range[quantity.Volts]
	Current     quantity.Range[quantity.Amperes]
	WireSpeed   quantity.Range[quantity.MetresPerSecond]
	TravelSpeed quantity.Range[quantity.MetresPerSecond]
	HeatInput   quantity.Range[quantity.JoulesPerMetre]
	Interpass   quantity.Range[quantity.Celsius]
	GasFlow     quantity.Range[quantity.CubicMetresPerSecond]
}

// Judge is how measured values are held against the limits.
type Judge struct {
	Definition     Definition
	Power          series.Basis     // Instantaneous or Average: what the limits rest on
	AverageOver    quantity.Seconds // window of the mean that is judged
	Dwell          quantity.Seconds // how long a mean may be out before it is a deviation
	Hold           quantity.Seconds // an arc-out shorter than this does not end an arc interval
	GuardBand      float64          // share of the expanded uncertainty (k = 2)
	ArcCurrent     quantity.Amperes // from this current on an arc may be burning
	ArcVoltage     quantity.Volts   // and from this voltage on
	ArcOnTolerance quantity.Ratio   // how far the arc-on ratio may fall from the planned one
}

// Rotation is the planned turning of the torch.
type Rotation struct {
	Speed      quantity.TurnsPerSecond // 0 is not declared
	StartAngle quantity.Degrees
}

// Setpoints are what the machine was set to; 0 is not declared.
type Setpoints struct {
	Voltage     quantity.Volts
	Current     quantity.Amperes
	WireSpeed   quantity.MetresPerSecond
	TravelSpeed quantity.MetresPerSecond
	// CurrentPerDistance is by how much the current falls as the torch is drawn
	// back from the wall, tried at the machine.
	CurrentPerDistance quantity.AmperesPerMetre
}

// Sensor is a box that brings measurements.
type Sensor struct {
	Port string
	Link string // binary, delimited, lineprotocol, columns, modbus
	Baud int
	// Columns says what the columns of a plain meter are; nil where the link is another.
	Columns *series.Layout
	// Slave says what of a Modbus slave is polled; nil where the link is another.
	Slave *series.Slave
}

// Material is the steel of the machine.
type Material struct {
	Grade     string
	Thickness quantity.Metres
	Analysis  map[string]float64 // element symbol to mass %
}

// Consumables are the wire and the gas.
type Consumables struct {
	Wire, WireBatch, Gas, GasBatch string
	Hydrogen                       quantity.Hydrogen
}

// People are named by their part in the job.
type People struct{ Operator, Inspector string }

// Customer is who has the repair done, and by which order; either may be empty.
type Customer struct{ Name, Order string }

// Machine is what is repaired; either may be empty.
type Machine struct{ Name, Serial string }

// Doubts are those of the job file and of the procedure.
func (j *Job) Doubts() []*plausible.Doubt {
	return slices.Concat(j.Typed.Doubts, j.Procedure.Typed.Doubts)
}

// Kept are the values of both that were said again on purpose.
func (j *Job) Kept() []*plausible.Doubt {
	return slices.Concat(j.Typed.Kept, j.Procedure.Typed.Kept)
}

// Job is one repair of one bore as it is planned.
type Job struct {
	Name          string
	ProcedureFile string    // as written in the job file
	Procedure     Procedure // filled by the caller from ProcedureFile
	Bore          bore.Bore
	Deposit       bore.Deposit
	Rotation      Rotation
	Setpoints     Setpoints
	Sensors       []Sensor
	Material      Material
	Consumables   Consumables
	People        People
	Customer      Customer
	Machine       Machine
	Signals       heat.Signals // what people say of how voltage and current are taken
	Typed         Typed        // of the job file; Procedure has its own
	InUS          bool         // the file is written in US units rather than in metric ones
	// Instruments are the calibrations in force, one a channel: voltage,
	// current, wire_speed, travel (the length per turn and its time).
	Instruments []calib.Calibration
}
