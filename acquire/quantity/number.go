package quantity

import (
	"fmt"
	"iter"
	"slices"
	"strconv"
	"strings"
)

// The one rule for numbers that people type, in files, on the line and on pages:
//
//	number   = [sign] digits [ (point | comma) digits ] [exponent] | fraction
//	fraction = [ whole (blank | "-") ] part "/" of, of inches: 3 5/8 in, 3-5/8 in, 5/8 in
//
// A point is the decimal point, as the program prints it. A comma is the decimal
// comma where it can be nothing else: 10,1 is 10.1. Where three digits stand behind
// it and one to three before it, it may as well part thousands: 1,234 is refused, and
// the person asked. Digits are grouped nowhere: neither 1,234.5 nor 1.234.567 is a
// number. Who groups by points may mean 1234 by 1.234, and a micrometer reads 90.020:
// beside a number with a decimal comma such a one is refused (Alike), and else the
// band of what is usual decides (MayBeThousands).

// cutNumber splits a text behind the number it begins with; number is empty if
// there is none. A point or comma belongs to the number only before a digit, so that
// "12..15" is cut behind 12, and "12, 15" too.
func cutNumber(text string) (number, rest string) {
	i := 0
	if i < len(text) && (text[i] == '+' || text[i] == '-') {
		i++
	}
	first := i
	for i < len(text) {
		if n := digitsAt(text, i); n > 0 {
			i += n
			continue
		}
		if text[i] != '.' && text[i] != ',' || digitsAt(text, i+1) == 0 {
			break
		}
		i++
	}
	if i == first {
		return "", text
	}
	if n := fractionAt(text, i); n > 0 && digitsAt(text, first) == i-first {
		i += n
	} else {
		i += exponentAt(text, i)
	}
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

// fractionAt returns the length of what makes a fraction of the digits before an
// index: "/8" of 5/8, " 5/8" or "-5/8" of 3 5/8; 0 for none.
func fractionAt(text string, from int) int {
	i := from
	if i < len(text) && (text[i] == ' ' || text[i] == '-') {
		part := strings.TrimLeft(text[i:], " ")
		if text[i] == '-' {
			part = text[i+1:]
		}
		digits := digitsAt(part, 0)
		if digits == 0 {
			return 0
		}
		i = len(text) - len(part) + digits
	}
	if i >= len(text) || text[i] != '/' || digitsAt(text, i+1) == 0 {
		return 0
	}
	return i + 1 + digitsAt(text, i+1) - from
}

// isFraction tells whether a number that was cut is one.
func isFraction(number string) bool { return strings.Contains(number, "/") }

// valueOf returns what a number that was cut is; where it may be more than one
// thing, or none, why says so.
func valueOf(number string) (value float64, why string) {
	if isFraction(number) {
		return fractionOf(number)
	}
	if strings.Count(number, ",")+strings.Count(number, ".") > 1 {
		return 0, fmt.Sprintf("%s: digits are not grouped here; write the number with one decimal point and nothing else between its digits", number)
	}
	if mayPartThousands(number, ',') {
		return 0, fmt.Sprintf("%s may be %s or %s; write the one that is meant",
			number, strings.Replace(number, ",", ".", 1), strings.Replace(number, ",", "", 1))
	}
	value, err := strconv.ParseFloat(strings.Replace(number, ",", ".", 1), 64)
	if err != nil {
		return 0, tooLarge
	}
	return value, ""
}

const tooLarge = "number is too large"

// mayPartThousands tells whether the sign in a number may part thousands: three
// digits behind it and one to three before it, of which the first is not 0.
func mayPartThousands(number string, sign byte) bool {
	before, after, found := strings.Cut(strings.TrimLeft(number, "+-"), string(sign))
	return found && digitsAt(after, 0) == 3 && (len(after) == 3 || after[3] == 'e' || after[3] == 'E') &&
		len(before) >= 1 && len(before) <= 3 && before[0] != '0'
}

// finestFraction is the finest division of a rule in inches: 1/64.
const finestFraction = 64

// fractionOf returns what 5/8, 3 5/8 or 3-5/8 is. What no rule has is a slip of the
// finger: 5/7, 13/8, and 3 8/8.
func fractionOf(number string) (value float64, why string) {
	slash := strings.IndexByte(number, '/')
	start := strings.LastIndexAny(number[:slash], " -") + 1
	whole, wholeErr := strconv.ParseUint("0"+strings.TrimRight(number[:start], " -"), 10, 32)
	part, partErr := strconv.ParseUint(number[start:slash], 10, 32)
	of, ofErr := strconv.ParseUint(number[slash+1:], 10, 32)
	switch {
	case wholeErr != nil || start == 1:
		return 0, fmt.Sprintf("%s: a fraction has no sign", number)
	case partErr != nil || ofErr != nil || of < 2 || of > finestFraction || of&(of-1) != 0 || part == 0:
		return 0, fmt.Sprintf("%s: a rule is divided into halves, 4ths, 8ths, 16ths, 32nds or 64ths; write one of these, or a decimal number", number)
	case part >= of:
		return 0, fmt.Sprintf("%s: the fraction is not below 1; write it as 3-5/8", number)
	default:
		return float64(whole) + float64(part)/float64(of), ""
	}
}

// Number reads a number that has no unit, by the rule for all that is typed.
func Number(text string) (float64, error) {
	number, rest := cutNumber(strings.TrimSpace(text))
	if number == "" || rest != "" || isFraction(number) {
		return 0, &Error{Text: text, Reason: "not a number"}
	}
	value, why := valueOf(number)
	if why != "" {
		return 0, &Error{Text: text, Reason: why}
	}
	return value + 0, nil
}

// Pointed returns a typed number, quantity or window with decimal points for its
// commas, as files keep it. Where a comma may be something else, that is an *Error.
func Pointed(text string) (string, error) {
	made := []byte(text)
	for at, number := range numbersIn(text) {
		if _, why := valueOf(number); why != "" && strings.Contains(number, ",") {
			return text, &Error{Text: text, Reason: why}
		}
		if comma := strings.IndexByte(number, ','); comma >= 0 {
			made[at+comma] = '.'
		}
	}
	return string(made), nil
}

// Alike refuses a number with a point that may part thousands, 1.234, where another
// one that was typed beside it has a decimal comma. The error is an *Error.
func Alike(typed ...string) error {
	if !slices.ContainsFunc(typed, func(text string) bool { return decimalSign(text) == ',' }) {
		return nil
	}
	for _, text := range typed {
		for _, number := range numbersIn(text) {
			if mayPartThousands(number, '.') {
				return &Error{Text: text, Reason: fmt.Sprintf("beside numbers with a decimal comma it may be %s or %s; write all numbers in one way",
					number, strings.Replace(number, ".", "", 1))}
			}
		}
	}
	return nil
}

// MayBeThousands returns what the quantity is if the point in the text parts thousands,
// 1234 V where 1.234 V is written; false where it can part none.
func MayBeThousands[Q Quantity](text string) (Q, bool) {
	number, _ := cutNumber(strings.TrimSpace(text))
	if !mayPartThousands(number, '.') {
		return 0, false
	}
	q, err := Parse[Q](strings.Replace(text, ".", "", 1))
	return q, err == nil
}

// numbersIn gives each number in a text, and where it begins.
func numbersIn(text string) iter.Seq2[int, string] {
	return func(yield func(int, string) bool) {
		for at := 0; at < len(text); {
			if strings.HasPrefix(text[at:], rangeMark) {
				at += len(rangeMark)
			}
			number, _ := cutNumber(text[at:])
			if number != "" && !yield(at, number) {
				return
			}
			at += max(len(number), 1)
		}
	}
}

// decimalSign is the one that the numbers in a text are written with, 0 for none.
func decimalSign(text string) byte {
	for _, number := range numbersIn(text) {
		if k := strings.IndexAny(number, ".,"); k >= 0 {
			return number[k]
		}
	}
	return 0
}

// mixed tells whether one of the texts has a decimal comma, and another a point.
func mixed(texts ...string) bool {
	signs := map[byte]bool{}
	for _, text := range texts {
		signs[decimalSign(text)] = true
	}
	return signs[','] && signs['.']
}
