package quantity

import (
	"math"
	"strings"
)

// Parse reads a number with its unit, "17.5 V" or "17.5V", into SI units.
//
// The number is decimal, with a point or a comma that can be nothing else, and an
// exponent if need be; of inches it may be a fraction, "3 5/8 in". Hexadecimal, NaN,
// infinity and grouped digits are no numbers here. The unit is written exactly as in
// Units; only a Ratio may go without. The error is an *Error.
func Parse[Q Quantity](text string) (Q, error) {
	d := dimensionOf[Q]()
	digits, written := cutNumber(strings.TrimSpace(text))
	if digits == "" {
		return 0, d.fail(text, "no number; write a number and its unit, %s", d.choices())
	}
	u, ok := d.find(strings.TrimSpace(written))
	if !ok {
		return 0, d.fail(text, "%s", d.whyNot(strings.TrimSpace(written)))
	}
	value, err := d.value(text, digits, u)
	return Q(value), err
}

// value converts digits in a unit to SI; text is what an error quotes.
func (d *dimension) value(text, digits string, u unit) (float64, error) {
	number, why := valueOf(digits)
	if why != "" {
		return 0, d.fail(text, "%s", why)
	}
	if isFraction(digits) && u.name != inchName {
		return 0, d.fail(text, "%s: a fraction is read of inches alone; write it in in, or as a decimal number", digits)
	}
	value := u.toSI(number)
	if math.IsInf(value, 0) {
		return 0, d.fail(text, tooLarge)
	}
	return value + 0, nil // +0 makes a negative zero a plain one
}
