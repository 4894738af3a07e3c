package finding

import (
	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/pass"
)

// Open is a deviation that is still in progress.
type Open struct {
	Rule   Rule
	Since  pass.Moment
	Place  *bore.Place // where it began; nil where the angle is not known
	Lasted quantity.Seconds
	Value  float64 // the present one, SI unit of the rule
	Worst  float64
	Limit  float64
	Beyond float64 // Value - Limit, signed
	// Certain is set where it has lasted for so long already that it will be a
	// finding.
	Certain bool
	Paused  bool // the arc is out; it goes on if the next arc interval begins with it
}

// Going says what goes on, of a rule whose value is for how long it has; it is
// empty where value and limit say it.
func (o *Open) Going() string { return rowOf(o.Rule).going }

// Mean is the mean of a channel over the procedure's window, or over what there
// is of it since the arc was struck.
type Mean struct {
	Value     float64
	Low, High float64 // of what it is the mean of
	Known     bool
	Full      bool // the window is, so that it is judged
}

// Means are the means as they stand, in SI units.
type Means struct{ Voltage, Current, Travel, Wire, Gas Mean }

// lasting is something that has its length for a value, and goes on.
func lasting(rule Rule, since pass.Moment, place *bore.Place, lasted quantity.Seconds, limit float64) Open {
	value := float64(lasted)
	return Open{
		Rule: rule, Since: since, Place: place, Lasted: lasted,
		Value: value, Worst: value, Limit: limit, Beyond: value - limit, Certain: value >= limit,
	}
}
