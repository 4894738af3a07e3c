package sheet

import (
	"arctally/acquire/quantity"
	"arctally/analyze/finding"
)

// Measure is the trade unit of a finding rule, and the way to it from SI.
type Measure struct {
	Unit
	From func(si float64) float64
}

// Text prints a value without its unit.
func (m Measure) Text(si float64) string { return Digits(Known(m.From(si)), m.Digits) }

// Difference converts a difference, which a scale with a shifted zero does not shift.
func (m Measure) Difference(si float64) *float64 { return Known(m.From(si) - m.From(0)) }

// Suffix is the unit behind a number; a pure number has none.
func (m Measure) Suffix() string {
	if m.Name == "1" {
		return ""
	}
	return " " + m.Name
}

// Measured gives a value of a rule in the metric unit of the trade, as a number
// and as it is read.
func Measured(rule finding.Rule, si float64) (value *float64, unit, text string) {
	m := MeasureOf(rule, Metric)
	return Known(m.From(si)), m.Name, m.Text(si)
}

func measured[Q quantity.Quantity](unit Unit) Measure {
	return Measure{unit, func(si float64) float64 { return quantity.In(Q(si), unit.Name) }}
}

// times is a unit that quantity does not know, by its factor.
func times(factor float64, unit Unit) Measure {
	return Measure{unit, func(si float64) float64 { return factor * si }}
}

// MeasureOf knows in which unit the trade states a rule. A rule that it does
// not know keeps its SI value and says so.
func MeasureOf(rule finding.Rule, u Units) Measure {
	set := u.Set()
	switch rule {
	case finding.Voltage, finding.GasSignature:
		return measured[quantity.Volts](Unit{"V", 1})
	case finding.Current:
		return measured[quantity.Amperes](Unit{"A", 0})
	case finding.WireSpeed:
		return measured[quantity.MetresPerSecond](set.Feed)
	case finding.TravelSpeed:
		return measured[quantity.MetresPerSecond](set.Travel)
	case finding.GasFlow:
		return measured[quantity.CubicMetresPerSecond](set.GasFlow)
	case finding.Interpass:
		return measured[quantity.Celsius](set.Temperature)
	case finding.ArcOut, finding.ArcOnReturn, finding.ArcInGap:
		return measured[quantity.Seconds](Unit{"s", 2})
	case finding.HeatInput:
		return measured[quantity.JoulesPerMetre](set.Heat)
	case finding.Stubbing, finding.ShortRate:
		return measured[quantity.Hertz](Unit{"Hz", 1})
	case finding.BriefArcOuts:
		return times(60, Unit{"1/min", 1})
	case finding.ContactDrift:
		return times(60e3, Unit{"mm/min/A", 2})
	case finding.Interrupted:
		return times(1, Unit{"turns", 2})
	case finding.WallPatch:
		return times(1, Unit{"turns", 0})
	case finding.LeftOut, finding.WeldedOver:
		return measured[quantity.Degrees](Unit{"deg", 0})
	case finding.OffCentre, finding.OvalBore:
		return measured[quantity.Ratio](Unit{"%", 2})
	case finding.StrokeCount:
		return times(1, Unit{"1", 0})
	case finding.WireSlip, finding.Instability, finding.ArcOnRatio:
		return times(1, Unit{"1", 3})
	default:
		return times(1, Unit{"SI", 3})
	}
}
