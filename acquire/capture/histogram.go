package capture

import "math/bits"

// histogram counts positive lengths in bins about 3 % wide, exact below 64, in
// a fixed amount of memory.
type histogram struct {
	count [bins]int64
	sum   [bins]float64
	n     int64
}

// Each power of two is cut into 2^fineBits bins.
const (
	fineBits = 5
	bins     = 64 << fineBits
)

func bin(x int64) int {
	if x < 2<<fineBits {
		return int(max(x, 0))
	}
	e := bits.Len64(uint64(x)) - fineBits - 1
	return e<<fineBits + int(uint64(x)>>e)
}

func (h *histogram) add(x int64) {
	b := bin(x)
	h.count[b]++
	h.sum[b] += float64(x)
	h.n++
}

// quantile returns the mean of the bin in which the share q of the lengths is
// reached; 0 where there are none.
func (h *histogram) quantile(q float64) float64 {
	need := q * float64(h.n)
	var c int64
	for b, n := range h.count {
		if c += n; n > 0 && float64(c) >= need {
			return h.sum[b] / float64(n)
		}
	}
	return 0
}

// between returns the count and the sum of the lengths in [from, to).
func (h *histogram) between(from, to float64) (n int64, sum float64) {
	for b := bin(int64(from)); b < bins && b <= bin(int64(to)); b++ {
		if h.count[b] == 0 {
			continue
		}
		if mean := h.sum[b] / float64(h.count[b]); mean >= from && mean < to {
			n, sum = n+h.count[b], sum+h.sum[b]
		}
	}
	return n, sum
}

// largest returns the mean of the highest bin in use.
func (h *histogram) largest() float64 {
	for b := bins - 1; b >= 0; b-- {
		if h.count[b] > 0 {
			return h.sum[b] / float64(h.count[b])
		}
	}
	return 0
}
