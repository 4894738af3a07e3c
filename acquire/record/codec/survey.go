package codec

import "math"

// survey finds out how a column of codes is written with the fewest bits.
type survey struct {
	few    [256]int32 // how often each lowest byte comes, where those beyond stand elsewhere
	planes [4][256]int32
}

// choose returns the shape with the fewest bits, and how many numbers stand elsewhere in it.
func (v *survey) choose(c []int32) (best shape, beyondByte int) {
	least := math.Inf(1)
	for order := range uint8(3) {
		s := shape{order: order, size: sizeOf(c), base: c[0]}
		if order == 0 {
			s.base = mean(c)
		}
		v.count(c, s)
		m := int(v.few[beyond])
		bits := cost(&v.few, len(c)) + float64(8*int(s.size)*m)
		if bits < least {
			best, beyondByte, least = s, m, bits
		}
		bits, s.form = 0, planes
		for plane := range int(s.size) {
			bits += cost(&v.planes[plane], len(c))
		}
		if bits < least {
			best, beyondByte, least = s, 0, bits
		}
	}
	return best, beyondByte
}

// count counts the bytes of all differences.
func (v *survey) count(c []int32, s shape) {
	*v = survey{}
	before, step := s.base, int32(0)
	for _, code := range c {
		z := s.difference(code, &before, &step)
		v.few[min(z, beyond)]++
		for plane := range int(s.size) {
			v.planes[plane][byte(z>>(8*plane))]++
		}
	}
}

// sizeOf returns how many bytes hold every code.
func sizeOf(c []int32) uint8 {
	for _, code := range c {
		if code != int32(int16(code)) {
			return 4
		}
	}
	return 2
}

func mean(c []int32) int32 {
	sum := int64(0)
	for _, code := range c {
		sum += int64(code)
	}
	return int32(sum / int64(len(c)))
}

// What a byte more in the alphabet of a column costs in its table of codes, and how few
// bytes are not worth a table.
const (
	bitsInTable  = 4
	fewestCoded  = 32
	bitsOfRepeat = 32
)

// cost returns about how many bits n bytes take, of which each value comes so often:
//
//	sum( c*max(1, log2(n/c)) ) + the table
//
// because a Huffman code has whole bits, one at least. Source: the entropy of a code,
// Shannon 1948; the table is ours.
func cost(counts *[256]int32, n int) float64 {
	bits := 0.0
	for _, c := range counts {
		switch {
		case int(c) == n:
			return bitsOfRepeat
		case c > 0:
			bits += float64(c)*max(1, math.Log2(float64(n)/float64(c))) + bitsInTable
		}
	}
	if n < fewestCoded {
		return float64(8 * n)
	}
	return min(bits, float64(8*n))
}
