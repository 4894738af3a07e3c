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
}

func (m measure) text(si float64) string { return digits(known(m.from(si)), m.decimals) }

// span converts a difference, which a scale with a shifted zero does not shift.
func (m measure) span(si float64) *float64 { return known(m.from(si) - m.from(0)) }

func measured[Q quantity.Quantity](unit string, decimals int) measure {
	return measure{unit, decimals, func(si float64) float64 { return quantity.In(Q(si), unit) }}
}

// measureOf knows in which unit the trade states a rule. A rule that it does
// not know keeps its SI value and says so.
func measureOf(rule finding.Rule, u Units) measure {
	set := u.set()
	switch rule {
	case finding.Voltage:
		return measured[quantity.Volts]("V", 1)
	case finding.Current:
		return measured[quantity.Amperes]("A", 0)
	case finding.WireSpeed:
		return measured[quantity.MetresPerSecond](set.feed, set.feedDigits)
	case finding.TravelSpeed:
		return measured[quantity.MetresPerSecond](set.travel, set.travelDigits)
	case finding.GasFlow:
		return measured[quantity.CubicMetresPerSecond](set.gas, 1)
	case finding.Interpass:
		return measured[quantity.Celsius](set.temperature, 0)
	case finding.ArcOut, finding.ArcOnReturn, finding.ArcInGap:
		return measured[quantity.Seconds]("s", 2)
	case finding.HeatInput:
		return measured[quantity.JoulesPerMetre](set.heat, set.heatDigits)
	case finding.Stubbing, finding.ShortRate:
		return measured[quantity.Hertz]("Hz", 1)
	case finding.GasSignature:
		return measured[quantity.Volts]("V", 1)
	case finding.BriefArcOuts:
		return measure{"1/min", 1, func(si float64) float64 { return 60 * si }}
	case finding.ContactDrift:
		return measure{"mm/min/A", 2, func(si float64) float64 { return 60e3 * si }}
	case finding.Interrupted:
		return measure{"turns", 2, func(si float64) float64 { return si }}
	case finding.LeftOut, finding.WeldedOver:
		return measured[quantity.Degrees]("deg", 0)
	case finding.StrokeCount:
		return measure{"1", 0, func(si float64) float64 { return si }}
	case finding.WireSlip, finding.Instability:
		return measure{"1", 3, func(si float64) float64 { return si }}
	case finding.OffCentre, finding.OvalBore:
		return measured[quantity.Ratio]("%", 2)
	case finding.WallPatch:
		return measure{"turns", 0, func(si float64) float64 { return si }}
	case finding.ArcOnRatio:
		return measure{"1", 3, func(si float64) float64 { return si }}
	default:
		return measure{"SI", 3, func(si float64) float64 { return si }}
	}
}

// rangeEnds are those of a window in a unit, nil where it is open.
func rangeEnds[Q quantity.Quantity](r quantity.Range[Q], unit string) (low, high *float64) {
	if r.HasLow {
		low = in(&r.Low, unit)
	}
	if r.HasHigh {
		high = in(&r.High, unit)
	}
	return low, high
}

// rangeText prints a window the way a procedure writes it.
func rangeText[Q quantity.Quantity](r quantity.Range[Q], unit string, decimals int) string {
	lowest, highest := rangeEnds(r, unit)
	low, high := digits(lowest, decimals), digits(highest, decimals)
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
