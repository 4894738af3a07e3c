package sheet

import (
	"math"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

// Dash stands on paper for what is not known.
const Dash = "-"

// OrDash is a text, or a dash where there is none.
func OrDash(text string) string {
	if strings.TrimSpace(text) == "" {
		return Dash
	}
	return text
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

// Known lets only numbers through: a division by nothing is not a result. They have
// the digits that mean something: see quantity.Clean.
func Known(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return new(quantity.Clean(v))
}

// Finite is Known of what may be missing.
func Finite(v *float64) *float64 {
	if v == nil {
		return nil
	}
	return Known(*v)
}

// Thousandth is a value in thousands.
func Thousandth(v *float64) *float64 {
	if v == nil {
		return nil
	}
	return Known(*v / 1000)
}

// Digits prints a value with a number of decimals, fewer where it is long.
func Digits(v *float64, decimals int) string {
	if v == nil {
		return Dash
	}
	return quantity.Figure(*v, decimals)
}

// Signed puts a plus before the digits of a value above zero.
func Signed(text string, v float64) string {
	if v > 0 {
		return "+" + text
	}
	return text
}

// Count prints a number of things, a dash where there is none.
func Count(n int) string {
	if n <= 0 {
		return Dash
	}
	return strconv.Itoa(n)
}

// PlaceOf gives a place in degrees and millimetres.
func PlaceOf(p *bore.Place) (angle, depth *float64) {
	if p == nil {
		return nil, nil
	}
	return Plain(&p.Angle), In(&p.Depth, "mm")
}

func positive(n int) *int {
	if n <= 0 {
		return nil
	}
	return &n
}

func word(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}
