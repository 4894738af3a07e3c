package sheet

import "arctally/analyze/finding"

// Measured gives a value of a rule in the metric unit of the trade, as a number
// and as it is read.
func Measured(rule finding.Rule, si float64) (value *float64, unit, text string) {
	m := measureOf(rule, Metric)
	return known(m.from(si)), m.unit, m.text(si)
}
