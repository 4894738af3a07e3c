package codec

import (
	"encoding/binary"
	"fmt"
)

// Numbers packs int64 numbers: the first one, then the second differences as
// zigzag numbers in eight byte planes. Ticks at an even pace become zeros.
func (p *Packer) Numbers(which uint8, c []int64) {
	n := len(c) - 1
	raw := p.room(which, SecondDifferences, 8+8*n)
	binary.LittleEndian.PutUint64(raw, uint64(c[0]))
	planes := raw[8:]
	before, step := c[0], int64(0)
	for k, v := range c[1:] {
		d := v - before
		z := zigzag64(d - step)
		before, step = v, d
		for plane := range 8 {
			planes[plane*n+k] = byte(z >> (8 * plane))
		}
	}
}

// Numbers appends the numbers of a column to dst: of them there are 1 or more, and no
// more than the chunk has samples.
func (c Column) Numbers(dst []int64) ([]int64, error) {
	if c.how != SecondDifferences {
		return dst, fmt.Errorf("%w: codec %d does not hold ticks or counts", ErrPayload, c.how)
	}
	if len(c.raw) < 8 || len(c.raw) > 8*c.n || len(c.raw)%8 != 0 {
		return dst, fmt.Errorf("%w: %d bytes are not up to %d whole numbers", ErrPayload, len(c.raw), c.n)
	}
	n := len(c.raw)/8 - 1
	v, step := int64(binary.LittleEndian.Uint64(c.raw)), int64(0)
	dst = append(dst, v)
	planes := c.raw[8:]
	for k := range n {
		var z uint64
		for plane := range 8 {
			z |= uint64(planes[plane*n+k]) << (8 * plane)
		}
		step += unzigzag64(z)
		v += step
		dst = append(dst, v)
	}
	return dst, nil
}
