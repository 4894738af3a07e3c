package quantity

import (
	"fmt"
	"math"
	"strconv"
)

// Units lists the units in which a quantity may be written, the usual one first.
// A Ratio may also go without.
func Units[Q Quantity]() []string { return dimensionOf[Q]().names() }

// In returns a quantity as a number in a unit. It panics on a unit of another
// dimension.
func In[Q Quantity](q Q, unit string) float64 {
	return mustFind[Q](unit).fromSI(float64(q))
}

// Of returns the quantity that a number in a unit means. It panics on a unit of
// another dimension.
func Of[Q Quantity](value float64, unit string) Q {
	return Q(mustFind[Q](unit).toSI(value))
}

// Text prints a quantity in a unit with so many decimals, "17.5 V", as Figure does. With
// decimals below zero it prints as few digits as Parse needs to read the same
// quantity back, or one that differs in the last bit where no decimal number in
// that unit would do. It panics on a unit of another dimension.
func Text[Q Quantity](q Q, unit string, decimals int) string {
	return withUnit(number(q, unit, decimals), unit)
}

// TextRange prints a window in a unit, as ParseRange reads it: "16.5..19.0 V";
// a window without limits is the empty text. It panics on a unit of another
// dimension.
func TextRange[Q Quantity](r Range[Q], unit string, decimals int) string {
	if r.IsZero() {
		return ""
	}
	low, high := "", ""
	if r.HasLow {
		low = number(r.Low, unit, decimals)
	}
	if r.HasHigh {
		high = number(r.High, unit, decimals)
	}
	return withUnit(low+rangeMark+high, unit)
}

func withUnit(number, unit string) string {
	if unit == "" {
		return number
	}
	return number + " " + unit
}

// number prints the number that a quantity is in a unit.
func number[Q Quantity](q Q, unit string, decimals int) string {
	value := In(q, unit)
	if decimals >= 0 {
		return Figure(value, decimals)
	}
	// 15 digits always survive a float64. Where none of these is read back to the last
	// bit, a short number that is next to it is meant, and any other stays as it is.
	for digits := 15; digits <= 16; digits++ {
		rounded, _ := strconv.ParseFloat(strconv.FormatFloat(value, 'g', digits, 64), 64) // infinite where that overflows
		if Of[Q](rounded, unit) == q {
			value = rounded
			break
		}
	}
	if short := Clean(value); math.Abs(short-value) <= nextTo*math.Abs(value) {
		value = short
	}
	return plainZero(strconv.FormatFloat(value, 'f', -1, 64))
}

// nextTo is four times the last bit of a float64.
const nextTo = 4 * 0x1p-52

// plainZero takes the sign off a number that was rounded to zero: no reading of
// a meter is minus nothing.
func plainZero(number string) string {
	if value, err := strconv.ParseFloat(number, 64); err == nil && value == 0 && math.Signbit(value) {
		return number[1:]
	}
	return number
}

// mustFind looks up a unit that the program names itself.
func mustFind[Q Quantity](written string) unit {
	d := dimensionOf[Q]()
	u, ok := d.find(written)
	if !ok {
		panic(fmt.Sprintf("quantity: %s", d.whyNot(written)))
	}
	return u
}
