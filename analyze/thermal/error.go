package thermal

import (
	"fmt"
	"math"
	"strings"

	"arctally/acquire/quantity"
)

// RangeError reports an input for which a formula was not made.
type RangeError struct {
	Formula  string // "preheat by EN 1011-2 method B"
	Quantity string // "CET"
	Value    string // "0.57 %"
	Range    string // "0.2 to 0.5 %"
}

// Error returns one line with the quantity, its value and its range.
func (e *RangeError) Error() string {
	return fmt.Sprintf("%s %s is out of range: %s holds for %s %s", e.Quantity, e.Value, e.Formula, e.Quantity, e.Range)
}

// Hint says who knows more.
func (e *RangeError) Hint() string {
	return "the formula says nothing out there; the qualified procedure rules"
}

// edge is the share of a limit by which a computed input may miss it: binary
// fractions make 0.49999999999999994 of what was meant as 0.5.
const edge = 1e-9

// domain is the closed range of one input of a formula, in SI units.
type domain[Q quantity.Quantity] struct {
	name, unit string
	low, high  Q
}

// check returns a *RangeError where the input is not in the range. A NaN never is.
func (d domain[Q]) check(formula string, q Q) error {
	low, high := float64(d.low), float64(d.high)
	v, limit := float64(q), d.high
	if v >= low-edge*math.Abs(low) && v <= high+edge*math.Abs(high) {
		return nil
	}
	if v < low {
		limit = d.low
	}
	return &RangeError{
		formula, d.name, strings.TrimSpace(unlike(quantity.In(q, d.unit), quantity.In(limit, d.unit)) + " " + d.unit),
		fmt.Sprintf("%v to %s", quantity.In(d.low, d.unit), quantity.Text(d.high, d.unit, -1)),
	}
}

// above returns a *RangeError where an input is not a finite number above zero.
func above[Q quantity.Quantity](formula, name, unit string, q Q) error {
	if v := float64(q); v > 0 && !math.IsInf(v, 0) {
		return nil
	}
	return &RangeError{formula, name, quantity.Text(q, unit, -1), "above 0 " + unit}
}

// unlike prints a value with three digits that count, or as many as tell it from the
// limit that it passed.
func unlike(v, limit float64) string {
	text := ""
	for digits := 3; digits <= 12; digits++ {
		if text = fmt.Sprintf("%.*g", digits, v); text != fmt.Sprintf("%.*g", digits, limit) {
			break
		}
	}
	return text
}
