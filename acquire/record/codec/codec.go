package codec

import (
	"errors"
	"fmt"
)

// ID names a codec by a number, which stands in records and never changes.
type ID uint8

// The codecs. FORMAT.md of package record says byte for byte what each of them holds.
const (
	Delta16           ID = iota + 1 // codes whose differences fit 16 bits, in two planes; before version 4
	Delta32                         // codes, differences in four planes; before version 4
	SecondDifferences               // 64-bit numbers, second differences in eight planes
	Floats                          // binary64, the bits XOR the bits before, in eight planes
	Bits                            // yes or no, eight to a byte
	Bytes                           // bytes as they are
	Sums                            // rows of window sums, 48 bytes each
	Codes                           // codes, by whichever differences say most with the lowest byte alone
	Joined                          // all columns of a chunk
	Content                         // bytes, as many as there are: a packed digest
)

// maxLength bounds the numbers in a column, so that a damaged length cannot make
// a reader take all the memory there is.
const maxLength = 1 << 20

// ErrPayload is the cause of every payload that cannot be what was packed.
var ErrPayload = errors.New("payload does not fit its codec")

// checkLength refuses a length that no column has.
func checkLength(n int) error {
	if n < 1 || n > maxLength {
		return fmt.Errorf("%w: %d samples in a chunk", ErrPayload, n)
	}
	return nil
}

// most is how many bytes a column of n numbers has at most; false where the codec has no
// column of its own.
func (how ID) most(n int) (int, bool) {
	switch how {
	case Delta16:
		return 2 + 2*n, true
	case Delta32:
		return 4 * n, true
	case SecondDifferences, Floats:
		return 8 * n, true
	case Bits:
		return (n + 7) / 8, true
	case Bytes:
		return n, true
	case Sums:
		return sumsSize * n, true
	case Codes:
		return codesHead + 5*n, true
	default:
		return 0, false
	}
}
