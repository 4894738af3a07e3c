package sheet

import (
	"arctally/acquire/quantity"
	"arctally/analyze/procedure"
)

// Units chooses the trade units of what people read; JSON is always metric.
type Units uint8

// The systems of units.
const (
	Metric Units = iota
	US           // in/min, kJ/in, in
)

// Unit is a unit of the trade with the decimals that a technician reads.
type Unit struct {
	Name   string
	Digits int
}

// To is the same unit with other decimals.
func (u Unit) To(digits int) Unit { return Unit{u.Name, digits} }

// UnitSet names the units of one system.
type UnitSet struct {
	Travel, Feed              Unit // speeds of the torch and of the wire
	Length, Depth, Bore, Fine Unit // of a bead, in the bore, of a bore, and as a gauge measures it
	Wire, Mass, Metal         Unit // wire, what a pass laid, what a job lays
	Heat, Temperature         Unit
	GasFlow, Gas, Area        Unit
}

// UnitsOf are the units of a job, which everybody reads who asks for no others: those that its file is
// written in.
func UnitsOf(job *procedure.Job) Units {
	if job.InUS {
		return US
	}
	return Metric
}

// Set names the units of a system.
func (u Units) Set() *UnitSet {
	if u == US {
		return &usUnits
	}
	return &metricUnits
}

var (
	metricUnits = UnitSet{
		Travel: Unit{"mm/min", 0}, Feed: Unit{"m/min", 2},
		Length: Unit{"mm", 0}, Depth: Unit{"mm", 1}, Bore: Unit{"mm", 2}, Fine: Unit{"mm", 3},
		Wire: Unit{"m", 2}, Mass: Unit{"g", 1}, Metal: Unit{"kg", 3},
		Heat: Unit{"kJ/mm", 3}, Temperature: Unit{"degC", 0},
		GasFlow: Unit{"L/min", 1}, Gas: Unit{"L", 0}, Area: Unit{"mm2", 2},
	}
	usUnits = UnitSet{
		Travel: Unit{"in/min", 2}, Feed: Unit{"in/min", 0},
		Length: Unit{"in", 1}, Depth: Unit{"in", 2}, Bore: Unit{"in", 3}, Fine: Unit{"in", 4},
		Wire: Unit{"ft", 1}, Mass: Unit{"lb", 3}, Metal: Unit{"lb", 2},
		Heat: Unit{"kJ/in", 2}, Temperature: Unit{"degF", 0},
		GasFlow: Unit{"ft3/h", 1}, Gas: Unit{"ft3", 1}, Area: Unit{"in2", 4},
	}
)

// Show prints a quantity for a place that names its unit elsewhere, a dash where
// it is not known.
func Show[Q quantity.Quantity](q *Q, unit Unit) string { return Digits(In(q, unit.Name), unit.Digits) }

// Say prints a quantity with its unit.
func Say[Q quantity.Quantity](q Q, unit Unit) string { return Show(&q, unit) + " " + unit.Name }

// RangeEnds are those of a window in a unit, nil where it is open.
func RangeEnds[Q quantity.Quantity](r quantity.Range[Q], unit string) (low, high *float64) {
	if r.HasLow {
		low = In(&r.Low, unit)
	}
	if r.HasHigh {
		high = In(&r.High, unit)
	}
	return low, high
}

// RangeText prints a window the way a procedure writes it.
func RangeText[Q quantity.Quantity](r quantity.Range[Q], unit Unit) string {
	lowest, highest := RangeEnds(r, unit.Name)
	low, high := Digits(lowest, unit.Digits), Digits(highest, unit.Digits)
	switch {
	case r.IsZero():
		return "not judged"
	case !r.HasLow:
		return "at most " + high + " " + unit.Name
	case !r.HasHigh:
		return "at least " + low + " " + unit.Name
	default:
		return low + " to " + high + " " + unit.Name
	}
}
