package codec

import (
	"errors"
	"fmt"
)

// ID names a codec by a number, which stands in records and never changes.
type ID uint8

// The codecs. FORMAT.md of package record says byte for byte what each of them holds.
const (
	Delta16           ID = iota + 1 // codes whose differences fit 16 bits, in two planes
	Delta32                         // codes, differences in four planes
	SecondDifferences               // 64-bit numbers, second differences in eight planes
	Floats                          // binary64, the bits XOR the bits before, in eight planes
	Bits                            // yes or no, eight to a byte
	Bytes                           // bytes as they are
	Sums                            // rows of window sums, 48 bytes each
	Second16                        // codes of 16 bits, second differences that wrap, in two planes
	Plain16                         // codes of 16 bits as they are, in two planes
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
