package quantity

import (
	"fmt"
	"math"
	"strconv"
)

// A number that was computed from short ones is meant to be short, and the binary
// arithmetic makes 116.80000000000001 of 1168 tenths: what lies within dust of a number
// of so many digits is that number. Both are ours, no source; a figure of a
// measurement comes so near to one once in some thousands, and loses nothing by it.
const (
	shortDigits = 9
	dust        = 1e-13
)

// Clean takes the last digits off a number that only the binary arithmetic put
// there. Any other number, and what is no number, stays as it is to the last bit.
func Clean(v float64) float64 {
	short, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', shortDigits-1, 64), 64)
	if err == nil && math.Abs(short-v) <= dust*math.Abs(v) {
		return short + 0 // a negative zero is a plain one
	}
	return v
}

// mostDecimalsMore is how many decimals two numbers get beyond the usual ones, to be
// told apart.
const mostDecimalsMore = 6

// decimalsApart returns how many decimals two numbers need so that a reader sees
// which is the larger: the usual ones where those do, else as many more as it takes;
// false where they are equal, or closer than anyone would want to read.
func decimalsApart(a, b float64, usual int) (int, bool) {
	for decimals := usual; decimals <= usual+mostDecimalsMore; decimals++ {
		if fixed(a, decimals) != fixed(b, decimals) {
			return decimals, true
		}
	}
	return usual, false
}

// fixed prints a number with so many decimals. It is cleaned first and a half goes
// away from zero, as the pages have it: a sentence, a table and a page round one
// value alike.
func fixed(v float64, decimals int) string {
	v = Clean(v)
	scale := math.Pow10(decimals)
	scaled := v * scale
	if whole := math.Trunc(scaled); math.Abs(scaled-whole) == 0.5 && math.FMA(v, scale, -scaled) == 0 {
		v = (whole + math.Copysign(1, v)) / scale
	}
	return plainZero(strconv.FormatFloat(v, 'f', decimals, 64))
}

// Against says a value and the limit that it is held against, "0.8695 V" and
// "0.8700 V": printed alike, a sentence that calls one above the other would
// contradict itself. In converts both to what a person reads, and the unit stands
// behind the number. A value that no decimals set apart is "just above" its limit, or
// "just below" it.
func Against(value, limit float64, usual int, in func(float64) float64, unit string) (said, against string) {
	decimals, apart := decimalsApart(in(value), in(limit), usual)
	against = withUnit(fixed(in(limit), decimals), unit)
	switch {
	case apart:
		return withUnit(fixed(in(value), decimals), unit), against
	case value > limit:
		return "just above " + against, against
	case value < limit:
		return "just below " + against, against
	default:
		return against, against
	}
}

// TextAgainst prints a quantity and the limit that it is held against, in a unit.
func TextAgainst[Q Quantity](q, limit Q, unit string, usual int) (said, against string) {
	return Against(float64(q), float64(limit), usual, func(si float64) float64 { return In(Q(si), unit) }, unit)
}

// TextApart prints a difference with as many decimals as it takes for it not to read
// as none.
func TextApart[Q Quantity](difference Q, unit string, usual int) string {
	text, _ := TextAgainst(difference, 0, unit, usual)
	return text
}

// mostDigits is how many digits in a row a person reads.
const mostDigits = 7

// exponent prints a number that is too long, or too small, to be read as digits.
func exponent(v float64, digits int) string { return strconv.FormatFloat(v, 'g', digits, 64) }

// wholeDigits is how many digits a number has before its point: 0 below one.
func wholeDigits(v float64) int {
	if v == 0 {
		return 0
	}
	return max(int(math.Floor(math.Log10(math.Abs(v))))+1, 0)
}

// Figure prints a number with so many decimals, but with fewer where it would have
// more than seven digits: nobody reads "53760744.031".
func Figure(v float64, decimals int) string {
	whole := wholeDigits(v)
	if whole > mostDigits {
		return exponent(v, 4)
	}
	return fixed(v, min(decimals, mostDigits-whole))
}

// Significant prints a quantity with so many digits that count, and no others:
// "0.00235 mm", "11.4 s", "5.38e+07 s" are three.
func Significant[Q Quantity](q Q, unit string, digits int) string {
	v := In(q, unit)
	// Rounded first: 9.996 with three digits is 10.0.
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', digits-1, 64), 64)
	if err != nil || rounded != 0 && math.Abs(rounded) < 1e-5 || wholeDigits(rounded) > mostDigits {
		return withUnit(exponent(v, digits), unit)
	}
	if rounded == 0 {
		return withUnit("0", unit)
	}
	whole := int(math.Floor(math.Log10(math.Abs(rounded)))) + 1
	return withUnit(strconv.FormatFloat(rounded, 'f', max(digits-whole, 0), 64), unit)
}

// fewDigits is how many digits of a computed figure a person can use at most.
const fewDigits = 6

// Plainly prints a computed quantity with at most six digits that count, and no
// zeros behind them: "17.75 V", "135 A".
func Plainly[Q Quantity](q Q, unit string) string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(In(q, unit), 'e', fewDigits-1, 64), 64)
	if err != nil { // so near to the largest number that six digits round over it
		rounded = In(q, unit)
	}
	return withUnit(plainZero(strconv.FormatFloat(rounded, 'f', -1, 64)), unit)
}

// TextOutside prints a quantity that is outside a window, with as many decimals as
// it takes to tell it from the limit that it passed.
func TextOutside[Q Quantity](q Q, window Range[Q], unit string, usual int) string {
	text, _ := TextAgainst(q, q-window.Beyond(q), unit, usual)
	return text
}

// PlainlyOutside prints a quantity that is outside a window as Plainly does, unless
// it would read like the limit that it passed.
func PlainlyOutside[Q Quantity](q Q, window Range[Q], unit string) string {
	if text := Plainly(q, unit); text != Plainly(q-window.Beyond(q), unit) {
		return text
	}
	return Text(q, unit, -1)
}

// Lasting says a length of time as people do: "1.7 s", "14.5 min", "2 h 05 min",
// "622 days". Below a minute it has so many decimals. The unit is that of the rounded
// time: 59.97 s are a minute, and not "60.0 s".
func Lasting(t Seconds, decimals int) string {
	const minutesPerHour, hoursPerDay = hour / minute, 24
	minutes := float64(t) / minute
	switch whole := int64(math.Round(minutes)); {
	case rounded(float64(t), decimals) < minute:
		return Text(t, "s", decimals)
	case rounded(minutes, 1) < minutesPerHour:
		return Text(t, "min", 1)
	case minutes < 4*hoursPerDay*minutesPerHour:
		return fmt.Sprintf("%d h %02d min", whole/minutesPerHour, whole%minutesPerHour)
	default:
		return Figure(minutes/minutesPerHour/hoursPerDay, 0) + " days"
	}
}

func rounded(v float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	return math.Round(v*scale) / scale
}
