package codec

import "math"

// Floats packs float64 values: the bits of each, XOR those of the value before
// it (0 before the first), in eight byte planes, lowest first.
func (p *Packer) Floats(dst []byte, v []float64) (ID, []byte) {
	n := len(v)
	planes := p.room(8 * n)
	var before uint64
	for k, value := range v {
		bits := math.Float64bits(value)
		x := bits ^ before
		before = bits
		for plane := range 8 {
			planes[plane*n+k] = byte(x >> (8 * plane))
		}
	}
	return Floats, p.close(dst)
}

// Floats appends the n values of a payload to dst.
func (u *Unpacker) Floats(dst []float64, how ID, payload []byte, n int) ([]float64, error) {
	planes, err := u.exactly(how, Floats, payload, n, 8*n)
	if err != nil {
		return dst, err
	}
	var bits uint64
	for k := range n {
		for plane := range 8 {
			bits ^= uint64(planes[plane*n+k]) << (8 * plane)
		}
		dst = append(dst, math.Float64frombits(bits))
	}
	return dst, nil
}
