package codec

import (
	"encoding/binary"
	"fmt"
)

// Numbers packs int64 numbers: the first one, then the second differences as
// zigzag numbers in eight byte planes. Ticks at an even pace become zeros.
func (p *Packer) Numbers(dst []byte, c []int64) (ID, []byte) {
	n := len(c) - 1
	raw := p.room(8 + 8*n)
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
	return SecondDifferences, p.close(dst)
}

// Numbers appends the numbers of a payload, of which there are 1 to most, to dst.
func (u *Unpacker) Numbers(dst []int64, how ID, payload []byte, most int) ([]int64, error) {
	if err := checkLength(most); err != nil {
		return dst, err
	}
	if how != SecondDifferences {
		return dst, fmt.Errorf("%w: codec %d does not hold ticks or counts", ErrPayload, how)
	}
	raw, err := u.open(payload, 8, 8*most)
	if err != nil {
		return dst, err
	}
	if len(raw)%8 != 0 {
		return dst, fmt.Errorf("%w: %d bytes are no whole numbers", ErrPayload, len(raw))
	}
	n := len(raw)/8 - 1
	v, step := int64(binary.LittleEndian.Uint64(raw)), int64(0)
	dst = append(dst, v)
	planes := raw[8:]
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
