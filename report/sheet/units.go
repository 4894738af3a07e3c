package sheet

import (
	"math"
	"strconv"

	"arctally/acquire/quantity"
	"arctally/analyze/finding"
)

// Units chooses the trade units of a table; JSON is always metric.
type Units uint8

// The systems of units.
const (
	Metric Units = iota
	US           // in/min, kJ/in, in
)

// dash stands on paper for what is not known.
const dash = "-"

// unitSet names the units of one system, each with the decimals that a
// technician reads.
type unitSet struct {
	travel, feed, length, bore, wire, mass, heat, gas, temperature                                string
	travelDigits, feedDigits, lengthDigits, boreDigits, wireDigits, massDigits, heatDigits, depth int
}

func (u Units) set() unitSet {
	if u == US {
		return unitSet{
			travel: "in/min", feed: "in/min", length: "in", bore: "in", wire: "ft", mass: "lb", heat: "kJ/in", gas: "ft3/h", temperature: "degF",
			travelDigits: 2, feedDigits: 0, lengthDigits: 1, boreDigits: 3, wireDigits: 1, massDigits: 3, heatDigits: 2, depth: 2,
		}
	}
	return unitSet{
		travel: "mm/min", feed: "m/min", length: "mm", bore: "mm", wire: "m", mass: "g", heat: "kJ/mm", gas: "L/min", temperature: "degC",
		travelDigits: 0, feedDigits: 2, lengthDigits: 0, boreDigits: 2, wireDigits: 2, massDigits: 1, heatDigits: 3, depth: 1,
	}
}

// in gives a quantity in a unit, nil where it is not known.
func in[Q quantity.Quantity](q *Q, unit string) *float64 {
	if q == nil {
		return nil
	}
	return known(quantity.In(*q, unit))
}

// plain gives a quantity in its SI unit, nil where it is not known.
func plain[Q quantity.Quantity](q *Q) *float64 {
	if q == nil {
		return nil
	}
	return known(float64(*q))
}

// known lets only numbers through: a division by nothing is not a result.
func known(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// digits prints a value with a number of decimals.
func digits(v *float64, decimals int) string {
	if v == nil {
		return dash
	}
	return strconv.FormatFloat(*v, 'f', decimals, 64)
}

// measure is the trade unit of a finding rule.
type measure struct {
	unit     string
	decimals int
	from     func(si float64) float64
	words    func(si float64) string // with the unit, in a sentence
}

func (m measure) text(si float64) string { return digits(known(m.from(si)), m.decimals) }

// span converts a difference, which a scale with a shifted zero does not shift.
func (m measure) span(si float64) *float64 { return known(m.from(si) - m.from(0)) }

// measureOf is the unit of a rule, which its row of the table of rules has.
func measureOf(rule finding.Rule, u Units) measure {
	unit, us := finding.Units(rule)
	if u == US {
		unit = us
	}
	return measure{unit.Name, unit.Decimals, unit.In, unit.Words}
}

// rangeText prints a window the way a procedure writes it.
func rangeText[Q quantity.Quantity](r quantity.Range[Q], unit string, decimals int) string {
	low, high := "", ""
	if r.HasLow {
		low = digits(in(&r.Low, unit), decimals)
	}
	if r.HasHigh {
		high = digits(in(&r.High, unit), decimals)
	}
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
