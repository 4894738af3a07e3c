package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Parse reads a number with its unit, "17.5 V" or "17.5V", into SI units.
//
// The number is decimal, with a point and an exponent if need be; hexadecimal,
// NaN, infinity and digit separators are no numbers here. The unit is written
// exactly as in Units; only a Ratio may go without. The error is an *Error.
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
	number, err := strconv.ParseFloat(digits, 64)
	if err != nil {
		return 0, d.fail(text, "number is too large")
	}
	value := u.toSI(number)
	if math.IsInf(value, 0) {
		return 0, d.fail(text, "number is too large")
	}
	return value + 0, nil // +0 makes a negative zero a plain one
}

// cutNumber splits a text behind the number it begins with; number is empty if
// there is none. A point belongs to the number only before a digit, so that
// "12..15" is cut behind 12.
func cutNumber(text string) (number, rest string) {
	i := 0
	if i < len(text) && (text[i] == '+' || text[i] == '-') {
		i++
	}
	whole := digitsAt(text, i)
	i += whole
	fraction := 0
	if i < len(text) && text[i] == '.' {
		if fraction = digitsAt(text, i+1); fraction > 0 {
			i += 1 + fraction
		}
	}
	if whole+fraction == 0 {
		return "", text
	}
	i += exponentAt(text, i)
	return text[:i], text[i:]
}

// digitsAt counts the decimal digits from an index on.
func digitsAt(text string, from int) int {
	n := from
	for n < len(text) && '0' <= text[n] && text[n] <= '9' {
		n++
	}
	return n - from
}

// exponentAt returns the length of the exponent at an index, 0 for none.
func exponentAt(text string, from int) int {
	if from >= len(text) || text[from] != 'e' && text[from] != 'E' {
		return 0
	}
	sign := 0
	if from+1 < len(text) && (text[from+1] == '+' || text[from+1] == '-') {
		sign = 1
	}
	digits := digitsAt(text, from+1+sign)
	if digits == 0 {
		return 0
	}
	return 1 + sign + digits
}
