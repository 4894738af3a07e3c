package codec

import (
	"encoding/binary"
	"slices"
)

// delta appends the codes of a column of first differences, as they were packed before
// version 4 of the format, in some planes.
func (c Column) delta(dst []int32, planes int) ([]int32, error) {
	n := c.n - 1
	if err := c.exactly(c.how, 4+planes*n); err != nil {
		return dst, err
	}
	from := len(dst)
	dst = slices.Grow(dst, c.n)[:from+c.n]
	out := dst[from:]
	code := int32(binary.LittleEndian.Uint32(c.raw))
	out[0] = code
	raw := c.raw[4:]
	low, high, out := raw[:n], raw[n:2*n], out[1:n+1]
	if planes == 2 {
		for k, b := range low {
			code += unzigzag(uint32(b) | uint32(high[k])<<8)
			out[k] = code
		}
		return dst, nil
	}
	for k, b := range low {
		code += unzigzag(uint32(b) | uint32(high[k])<<8 | uint32(raw[2*n+k])<<16 | uint32(raw[3*n+k])<<24)
		out[k] = code
	}
	return dst, nil
}
