package link

import (
	"bytes"
	"math"
	"strconv"
)

// Digits behind the point that a code of the text links has; wire speed is
// carried in m/min.
const (
	voltageDecimals   = 6
	currentDecimals   = 5
	wireSpeedDecimals = 6
)

// decimal is a decimal number as an integer count of its last digit, or unknown.
type decimal struct {
	n     int32
	known bool
}

// parseDecimal reads a plain decimal number (digits, at most one point, a minus
// sign) with the given number of digits behind the point. Further digits are
// rounded half away from zero. An empty text is unknown.
func parseDecimal(text []byte, decimals int) (decimal, bool) {
	if len(text) == 0 {
		return decimal{}, true
	}
	digits, negative := bytes.CutPrefix(text, []byte{'-'})
	whole, part, _ := bytes.Cut(digits, []byte{'.'})
	if len(whole)+len(part) == 0 {
		return decimal{}, false
	}
	n, ok := appendDigits(0, whole, len(whole))
	if !ok {
		return decimal{}, false
	}
	if n, ok = appendDigits(n, part, decimals); !ok {
		return decimal{}, false
	}
	if len(part) > decimals && part[decimals] >= '5' {
		n++
	}
	if negative {
		n = -n
	}
	if n < math.MinInt32 || n > math.MaxInt32 {
		return decimal{}, false
	}
	return decimal{int32(n), true}, true
}

// appendDigits appends digits to the number n, cut or filled with zeros to
// count; all of them must be digits.
func appendDigits(n int64, digits []byte, count int) (int64, bool) {
	const full = math.MaxInt64/10 - 9
	for k := range max(count, len(digits)) {
		var digit byte
		if k < len(digits) {
			if digit = digits[k] - '0'; digit > 9 {
				return 0, false
			}
		}
		if k >= count {
			continue
		}
		if n > full {
			return 0, false
		}
		n = 10*n + int64(digit)
	}
	return n, true
}

// parseUint reads an unsigned decimal number up to limit.
func parseUint(text []byte, limit uint64) (uint64, bool) {
	const longest = 19 // digits, which cannot overflow
	if len(text) == 0 || len(text) > longest {
		return 0, false
	}
	n, ok := appendDigits(0, text, len(text))
	if !ok || uint64(n) > limit {
		return 0, false
	}
	return uint64(n), true
}

// appendDecimal appends x to the given number of digits behind the point,
// without zeros at the end: a line is short, and most of its time is sending.
func appendDecimal(dst []byte, x float64, decimals int) []byte {
	dst = strconv.AppendFloat(dst, x, 'f', decimals, 64)
	for dst[len(dst)-1] == '0' {
		dst = dst[:len(dst)-1]
	}
	if dst[len(dst)-1] == '.' {
		dst = dst[:len(dst)-1]
	}
	return dst
}
