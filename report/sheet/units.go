package sheet

import (
	"math"
	"strconv"

	"arctally/acquire/quantity"
	"arctally/analyze/finding"
)

// fine is how many decimals a measured diameter is shown with.
func (u Units) fine() int {
	if u == US {
		return 4
	}
	return 3
}

// Suffix is the unit behind a number; a pure number has none.
func (m measure) Suffix() string {
	if m.Unit == "1" {
		return ""
	}
	return " " + m.Unit
}

// Measured gives a value of a rule in the metric unit of the trade, as a number
// and as it is read.
func Measured(rule finding.Rule, si float64) (value *float64, unit, text string) {
	m := MeasureOf(rule, Metric)
	return Known(m.From(si)), m.Unit, m.Text(si)
}

// planUnits are the units of a plan on paper, beside those of a pass.
type planUnits struct {
	UnitSet
	Gas, Area, Metal                   string
	GasDigits, AreaDigits, MetalDigits int
}

func (u Units) PlanSet() planUnits {
	if u == US {
		return planUnits{u.Set(), "ft3", "in2", "lb", 1, 4, 2}
	}
	return planUnits{u.Set(), "L", "mm2", "kg", 0, 2, 3}
}

// Units chooses the trade units of a table; JSON is always metric.
type Units uint8

// The systems of units.
const (
	Metric Units = iota
	US           // in/min, kJ/in, in
)

// Dash stands on paper for what is not known.
const Dash = "-"

// UnitSet names the units of one system, each with the decimals that a
// technician reads.
type UnitSet struct {
	Travel, feed, Length, Bore, Wire, Mass, Heat, Gas, Temperature                                      string
	TravelDigits, feedDigits, LengthDigits, BoreDigits, WireDigits, MassDigits, HeatDigits, DepthDigits int
}

func (u Units) Set() UnitSet {
	if u == US {
		return UnitSet{
			Travel: "in/min", feed: "in/min", Length: "in", Bore: "in", Wire: "ft", Mass: "lb", Heat: "kJ/in", Gas: "ft3/h", Temperature: "degF",
			TravelDigits: 2, feedDigits: 0, LengthDigits: 1, BoreDigits: 3, WireDigits: 1, MassDigits: 3, HeatDigits: 2, DepthDigits: 2,
		}
	}
	return UnitSet{
		Travel: "mm/min", feed: "m/min", Length: "mm", Bore: "mm", Wire: "m", Mass: "g", Heat: "kJ/mm", Gas: "L/min", Temperature: "degC",
		TravelDigits: 0, feedDigits: 2, LengthDigits: 0, BoreDigits: 2, WireDigits: 2, MassDigits: 1, HeatDigits: 3, DepthDigits: 1,
	}
}

// In gives a quantity in a unit, nil where it is not known.
func In[Q quantity.Quantity](q *Q, unit string) *float64 {
	if q == nil {
		return nil
	}
	return Known(quantity.In(*q, unit))
}

// Plain gives a quantity in its SI unit, nil where it is not known.
func Plain[Q quantity.Quantity](q *Q) *float64 {
	if q == nil {
		return nil
	}
	return Known(float64(*q))
}

// Known lets only numbers through: a division by nothing is not a result.
func Known(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// Digits prints a value with a number of decimals.
func Digits(v *float64, decimals int) string {
	if v == nil {
		return Dash
	}
	return strconv.FormatFloat(*v, 'f', decimals, 64)
}

// measure is the trade unit of a finding rule.
type measure struct {
	Unit     string
	Decimals int
	From     func(si float64) float64
	Words    func(si float64) string // with the unit, in a sentence
}

func (m measure) Text(si float64) string { return Digits(Known(m.From(si)), m.Decimals) }

// Span converts a difference, which a scale with a shifted zero does not shift.
func (m measure) Span(si float64) *float64 { return Known(m.From(si) - m.From(0)) }

// MeasureOf is the unit of a rule, which its row of the table of rules has.
func MeasureOf(rule finding.Rule, u Units) measure {
	unit, us := finding.Units(rule)
	if u == US {
		unit = us
	}
	return measure{unit.Name, unit.Decimals, unit.In, unit.Words}
}

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
func RangeText[Q quantity.Quantity](r quantity.Range[Q], unit string, decimals int) string {
	lowest, highest := RangeEnds(r, unit)
	low, high := Digits(lowest, decimals), Digits(highest, decimals)
	switch {
	case r.IsZero():
		return "not judged"
	case !r.HasLow:
		return "at most " + high + " " + unit
	case !r.HasHigh:
		return "at least " + low + " " + unit
	default:
		return low + " to " + high + " " + unit
	}
}
