package export

import (
	"math"
	"strconv"

	"arctally/acquire/calib"
)

// valueDigits is how many digits a value has that came from a code: a hundred times
// finer than a converter of 32 bits.
const valueDigits = 12

// valueOf returns the value of a code, or of a mean of codes, in twelve digits of
// what it is the sum of: 2049 tenths less 204.8 are 0.1, and not 0.09999999999999432.
func valueOf(l calib.Line, code float64) float64 {
	v := l.Of(code)
	largest := max(math.Abs(code*l.Scale), math.Abs(l.Offset))
	if !(largest > 0) || math.IsInf(largest, 0) {
		return v
	}
	decimals := max(valueDigits-int(math.Ceil(math.Log10(largest))), 0)
	short, err := strconv.ParseFloat(strconv.FormatFloat(v, 'f', decimals, 64), 64)
	if err != nil {
		return v // no number
	}
	return short + 0 // a negative zero is a plain one
}

// cacheSize covers the codes that an arc keeps coming back to.
const cacheSize = 1 << 12

// values are those of the codes of a channel. Shortest decimals cost more than all
// the rest of a row, and an arc repeats its codes: so both are kept.
type values struct {
	line calib.Line
	slot []valueSlot
}

type valueSlot struct {
	value float64
	code  int32
	len   uint8 // 0: nothing is kept here
	text  [27]byte
}

// use forgets the values of another line.
func (v *values) use(l calib.Line) {
	if v.slot != nil && v.line == l {
		return
	}
	v.line = l
	v.slot = make([]valueSlot, cacheSize)
}

func (v *values) of(code int32) *valueSlot {
	slot := &v.slot[uint32(code)%cacheSize]
	if slot.len == 0 || slot.code != code {
		slot.code, slot.value = code, valueOf(v.line, float64(code))
		slot.len = uint8(len(appendFloat(slot.text[:0], slot.value)))
	}
	return slot
}

func (v *values) append(dst []byte, code int32) []byte {
	slot := v.of(code)
	return append(dst, slot.text[:slot.len]...)
}
