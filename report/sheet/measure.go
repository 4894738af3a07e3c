package sheet

import (
	"arctally/acquire/quantity"
	"arctally/analyze/finding"
)

// Measure is the trade unit of a finding rule, and the way to it from SI.
type Measure struct {
	Unit
	From    func(si float64) float64
	InWords func(value, limit float64) (said, against string) // with the unit, in a sentence
}

// Text prints a value without its unit.
func (m Measure) Text(si float64) string { return Digits(Known(m.From(si)), m.Digits) }

// Against prints a value and the limit that it is held against, without their unit;
// alike only where they are equal.
func (m Measure) Against(value, limit float64) (said, against string) {
	return quantity.Against(value, limit, m.Digits, m.From, "")
}

// Beyond prints how far beyond its limit a value is, with its sign.
func (m Measure) Beyond(si float64) string {
	text, _ := quantity.Against(si, 0, m.Digits, func(v float64) float64 { return m.From(v) - m.From(0) }, "")
	return Signed(text, si)
}

// Difference converts a difference, which a scale with a shifted zero does not shift.
func (m Measure) Difference(si float64) *float64 { return Known(m.From(si) - m.From(0)) }

// Suffix is the unit behind a number; a pure number has none.
func (m Measure) Suffix() string {
	if m.Name == "1" {
		return ""
	}
	return " " + m.Name
}

// Measured gives a value of a rule in the metric unit of the trade.
func Measured(rule finding.Rule, si float64) (value *float64, unit string) {
	m := MeasureOf(rule, Metric)
	return Known(m.From(si)), m.Name
}

// MeasureOf is the unit of a rule, which its row of the table of rules has.
func MeasureOf(rule finding.Rule, u Units) Measure {
	unit, us := finding.Units(rule)
	if u == US {
		unit = us
	}
	return Measure{Unit{unit.Name, unit.Decimals}, unit.In, unit.Against}
}
