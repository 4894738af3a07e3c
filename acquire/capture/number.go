package capture

import (
	"math"
	"math/bits"
	"strconv"
)

// number is a decimal as it was written: mantissa * 10^-decimals.
type number struct {
	mantissa int64
	decimals int // 0 .. maxDecimals
}

// maxDigits always fit into 64 bits; maxDecimals is the longest table below.
const (
	maxDigits   = 19
	maxDecimals = 18
)

var powers = func() (p [maxDecimals + 1]int64) {
	p[0] = 1
	for i := 1; i < len(p); i++ {
		p[i] = 10 * p[i-1]
	}
	return p
}()

// parseNumber reads a decimal with an optional exponent; point is the decimal
// mark. Digits of a fraction beyond what 64 bits hold are cut off.
func parseNumber(b []byte, point byte) (number, bool) {
	i, negative := 0, false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		negative, i = b[0] == '-', 1
	}
	var m uint64
	digits, decimals := 0, 0
	some, fraction := false, false
	for ; i < len(b); i++ {
		c := b[i] - '0'
		switch {
		case c <= 9:
			some = true
			if digits == maxDigits {
				if !fraction {
					return number{}, false
				}
				continue
			}
			if m = m*10 + uint64(c); m != 0 {
				digits++
			}
			if fraction {
				decimals++
			}
		case b[i] == point && !fraction:
			fraction = true
		case some && b[i]|0x20 == 'e':
			e, ok := parseExponent(b[i+1:])
			if !ok {
				return number{}, false
			}
			return fit(m, decimals-e, negative)
		default:
			return number{}, false
		}
	}
	if !some {
		return number{}, false
	}
	return fit(m, decimals, negative)
}

// maxExponent keeps the loops of fit short; nothing measured reaches it.
const maxExponent = 99

func parseExponent(b []byte) (int, bool) {
	negative := false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		negative, b = b[0] == '-', b[1:]
	}
	e := 0
	for _, c := range b {
		if c < '0' || c > '9' || e > maxExponent {
			return 0, false
		}
		e = 10*e + int(c-'0')
	}
	if negative {
		e = -e
	}
	return e, len(b) > 0
}

// fit brings decimals into their range.
func fit(m uint64, decimals int, negative bool) (number, bool) {
	for m > math.MaxInt64 || decimals > maxDecimals {
		if decimals <= 0 {
			return number{}, false
		}
		m, decimals = m/10, decimals-1
	}
	for ; decimals < 0; decimals++ {
		if m > math.MaxInt64/10 {
			return number{}, false
		}
		m *= 10
	}
	n := number{int64(m), decimals}
	if negative {
		n.mantissa = -n.mantissa
	}
	return n, true
}

// value returns the nearest float64; equal decimals give equal values,
// however many zeros they were written with (up to 15 digits).
func (n number) value() float64 {
	return float64(n.mantissa) / float64(powers[n.decimals])
}

// significant returns the decimals that are left without trailing zeros.
func (n number) significant() int {
	m, d := n.mantissa, n.decimals
	for d > 0 && m%10 == 0 {
		m, d = m/10, d-1
	}
	return d
}

// at returns the mantissa at another number of decimals, rounded half away
// from zero.
func (n number) at(decimals int) int64 {
	switch {
	case n.decimals == decimals:
		return n.mantissa
	case n.decimals < decimals:
		return n.mantissa * powers[decimals-n.decimals]
	}
	return roundDiv(n.mantissa, powers[n.decimals-decimals])
}

func roundDiv(a, b int64) int64 {
	q, r := a/b, a%b
	if r < 0 {
		r = -r
	}
	if r >= b-r {
		if a < 0 {
			return q - 1
		}
		return q + 1
	}
	return q
}

// nanoDecimals is the number of decimals of a second that a tick has.
const nanoDecimals = 9

// nanoseconds returns n*factor seconds in ns, exact but for the final rounding;
// false where that does not fit.
func (n number) nanoseconds(factor number) (int64, bool) {
	if factor.mantissa == 1 && factor.decimals == 0 && n.decimals <= nanoDecimals {
		hi, lo := bits.Mul64(magnitude(n.mantissa), uint64(powers[nanoDecimals-n.decimals]))
		return signed(hi, lo, n.mantissa < 0)
	}
	hi, lo := bits.Mul64(magnitude(n.mantissa), magnitude(factor.mantissa))
	negative := (n.mantissa < 0) != (factor.mantissa < 0)
	shift := n.decimals + factor.decimals - nanoDecimals
	for ; shift < 0; shift++ {
		var over uint64
		over, hi, lo = mul10(hi, lo)
		if over != 0 {
			return 0, false
		}
	}
	for ; shift > maxDecimals; shift-- {
		hi, lo, _ = div(hi, lo, 10)
	}
	var rest uint64
	divisor := uint64(powers[shift])
	hi, lo, rest = div(hi, lo, divisor)
	if rest >= divisor-rest && divisor > 1 {
		var carry uint64
		lo, carry = bits.Add64(lo, 1, 0)
		hi += carry
	}
	return signed(hi, lo, negative)
}

func magnitude(x int64) uint64 {
	if x < 0 {
		return -uint64(x)
	}
	return uint64(x)
}

func signed(hi, lo uint64, negative bool) (int64, bool) {
	if hi != 0 || lo > math.MaxInt64 {
		return 0, false
	}
	if negative {
		return -int64(lo), true
	}
	return int64(lo), true
}

func mul10(hi, lo uint64) (over, h, l uint64) {
	over, h = bits.Mul64(hi, 10)
	carry, l := bits.Mul64(lo, 10)
	h, c := bits.Add64(h, carry, 0)
	return over + c, h, l
}

func div(hi, lo, by uint64) (h, l, rest uint64) {
	h, rest = hi/by, hi%by
	l, rest = bits.Div64(rest, lo, by)
	return h, l, rest
}

// scale returns the value of one code: factor*10^-decimals, rounded once.
func scale(factor number, decimals int) float64 {
	text := strconv.FormatInt(factor.mantissa, 10) + "e" + strconv.Itoa(-factor.decimals-decimals)
	f, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic("capture: scale of an impossible factor: " + text)
	}
	return f
}
