package codec

import "math"

// Floats packs float64 values: the bits of each, XOR those of the value before
// it (0 before the first), in eight byte planes, lowest first.
func (p *Packer) Floats(which uint8, v []float64) {
	n := len(v)
	planes := p.room(which, Floats, 8*n)
	var before uint64
	for k, value := range v {
		bits := math.Float64bits(value)
		x := bits ^ before
		before = bits
		for plane := range 8 {
			planes[plane*n+k] = byte(x >> (8 * plane))
		}
	}
}

// Floats appends the values of a column to dst.
func (c Column) Floats(dst []float64) ([]float64, error) {
	n := c.n
	if err := c.exactly(Floats, 8*n); err != nil {
		return dst, err
	}
	var bits uint64
	for k := range n {
		for plane := range 8 {
			bits ^= uint64(c.raw[plane*n+k]) << (8 * plane)
		}
		dst = append(dst, math.Float64frombits(bits))
	}
	return dst, nil
}
