package formula

import (
	"fmt"
	"slices"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/thermal"
	"arctally/cmd/internal/explain"
)

// input is what stood on the line as key=value. It keeps the first thing that
// cannot be read, so that a formula takes all its inputs in one go.
type input struct {
	formula string
	values  map[string]string
	wrong   error
}

// outOfRange is an input that a formula was not made for.
func outOfRange(key, value, want string) error {
	return &explain.Error{Kind: explain.Unfit, Text: fmt.Sprintf("%s: %s is out of range: it must be %s", key, value, want), Next: new(thermal.RangeError).Hint()}
}

func (in *input) has(key string) bool {
	_, ok := in.values[key]
	return ok
}

// all reports whether each of the keys stands on the line.
func (in *input) all(keys ...string) bool {
	return !slices.ContainsFunc(keys, func(key string) bool { return !in.has(key) })
}

// only reports whether no other than these keys stands on the line.
func (in *input) only(keys ...string) bool {
	for key := range in.values {
		if !slices.Contains(keys, key) {
			return false
		}
	}
	return true
}

// fail keeps the first error.
func (in *input) fail(err error) {
	if in.wrong == nil {
		in.wrong = err
	}
}

// readQuantity takes an input with its unit, 0 where it cannot be read.
func readQuantity[Q quantity.Quantity](in *input, key string) Q {
	q, err := quantity.Parse[Q](in.values[key])
	if err != nil {
		in.fail(misuse("%s: %s %v", in.formula, key, err))
	}
	return q
}

// readPositive takes an input that must be above zero.
func readPositive[Q quantity.Quantity](in *input, key string) Q {
	q := readQuantity[Q](in, key)
	if in.wrong == nil && q <= 0 {
		in.fail(outOfRange(key, in.values[key], "above 0"))
	}
	return q
}

// readShare takes an efficiency: above 0 and at most 1, or what stands in for it.
func readShare(in *input, key string, otherwise quantity.Ratio) quantity.Ratio {
	if !in.has(key) {
		return otherwise
	}
	q := readPositive[quantity.Ratio](in, key)
	if in.wrong == nil && q > 1 {
		in.fail(outOfRange(key, in.values[key], "above 0, at most 1 (100 %)"))
	}
	return q
}

// readMassPercent takes a share of the mass in %, the unit of every mill sheet:
// the sign may be left out.
func readMassPercent(in *input, key string) float64 {
	digits := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(in.values[key]), "%"))
	share, err := quantity.Parse[quantity.Ratio](digits)
	if err != nil || strings.HasSuffix(digits, "%") {
		in.fail(misuse("%s: %s %q: write a number, in mass %%", in.formula, key, in.values[key]))
		return 0
	}
	return float64(share)
}

// bothUnits prints a quantity in metric and in US units, with so many digits that count.
func bothUnits[Q quantity.Quantity](q Q, metric, us string, digits int) string {
	return quantity.Significant(q, metric, digits) + " (" + quantity.Significant(q, us, digits) + ")"
}

// bothDegrees prints a temperature on both scales; below zero is no less exact.
func bothDegrees(t quantity.Celsius) string {
	return quantity.Text(t, "degC", 0) + " (" + quantity.Text(t, "degF", 0) + ")"
}
