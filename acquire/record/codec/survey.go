package codec

import "math"

// survey finds out how a column of codes is written with the fewest bits.
type survey struct {
	few    [256]int32 // how often each lowest byte comes, where those beyond stand elsewhere
	planes [4][256]int32
}

// choose returns the shape with the fewest bits, and how many numbers stand elsewhere in it.
func (v *survey) choose(c []int32) (best shape, beyondByte int) {
	least, size := math.Inf(1), sizeOf(c)
	for order := range uint8(3) {
		s := shape{order: order, size: size, base: c[0]}
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

// count counts the bytes of all differences. Most of these are small: they are counted once, and
// put to the planes in the end.
func (v *survey) count(c []int32, s shape) {
	*v = survey{}
	if s.size == 2 {
		v.count16(c, s)
	} else {
		v.count32(c, s)
	}
	small := int32(0)
	for low, n := range v.few[:beyond] {
		v.planes[0][low] += n
		small += n
	}
	for plane := 1; plane < int(s.size); plane++ {
		v.planes[plane][0] += small
	}
}

// count16 counts differences that wrap at 16 bits. There is a loop for each order: this is where
// a recorder spends most of its time.
func (v *survey) count16(c []int32, s shape) {
	before, step := s.base, int32(0)
	switch s.order {
	case 0:
		for _, code := range c {
			v.add16(zigzag(int32(int16(code - before))))
		}
	case 1:
		for _, code := range c {
			v.add16(zigzag(int32(int16(code - before))))
			before = code
		}
	default:
		for _, code := range c {
			x := code - before
			v.add16(zigzag(int32(int16(x - step))))
			before, step = code, x
		}
	}
}

func (v *survey) add16(z uint32) {
	if z < beyond {
		v.few[z]++
		return
	}
	v.few[beyond]++
	v.planes[0][byte(z)]++
	v.planes[1][byte(z>>8)]++
}

func (v *survey) count32(c []int32, s shape) {
	before, step := s.base, int32(0)
	for _, code := range c {
		z := s.difference(code, &before, &step)
		v.few[min(z, beyond)]++
		if z < beyond {
			continue
		}
		for plane := range v.planes {
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
