package capture

import "math"

// Bounds of the count of chance repeats.
const (
	mostMultiples = 64
	expectedFalse = 0.5  // standstills called held by mistake in the whole file
	heldShare     = 0.05 // of the standstills called held may be chance
	enoughToCount = 8
	stillFalling  = 0.75
	mostChance    = 0.95
	// The plateau is looked for beyond the tail of the chance standstills.
	plateauFrom = 3
	plateauBins = 8
)

// chances tells how many standstills last k refresh intervals because values
// repeat by chance. With p the chance that a refresh repeats both values,
//
//	n_k = n_1 * p^(k-1)
//
// standstills do so. Holds are as long as pauses are and lie under these as a
// plateau, which is taken off before p is estimated.
type chances struct {
	n    [mostMultiples + plateauFrom + plateauBins]float64 // by k, without the plateau
	last int                                                // up to here they are counted, beyond extrapolated
	p    float64
}

func (h *histogram) chances(r float64) *chances {
	c := &chances{last: 1}
	for k := 1; k < len(c.n); k++ {
		n, _ := h.between((float64(k)-0.5)*r, (float64(k)+0.5)*r)
		c.n[k] = float64(n)
	}
	for c.last < mostMultiples && c.n[c.last+1] >= enoughToCount && c.n[c.last+1] <= stillFalling*c.n[c.last] {
		c.last++
	}
	plateau := secondSmallest(c.n[c.last+plateauFrom : c.last+plateauFrom+plateauBins])
	for k := range c.n {
		c.n[k] = max(c.n[k]-plateau, 0)
	}
	c.p = c.repeat()
	return c
}

// repeat returns p: of short standstills, and of longer ones where these say
// that it is higher, since an arc is steadier at times.
func (c *chances) repeat() float64 {
	p := (c.n[2] + 1) / (c.n[1] + 1)
	for k := 2; k < c.last; k++ {
		if c.n[k] >= 2*enoughToCount {
			p = max(p, (c.n[k+1]+1)/c.n[k])
		}
	}
	return min(p, mostChance)
}

// expected returns how many standstills of k intervals or more chance makes.
func (c *chances) expected(k int) float64 {
	sum := 0.0
	for j := k; j <= c.last; j++ {
		sum += c.n[j]
	}
	beyond := max(k, c.last+1) - c.last
	return sum + c.n[c.last]*math.Pow(c.p, float64(beyond))/(1-c.p)
}

// leastHeld returns the number of refresh intervals from which on a standstill
// is held rather than a chance repeat.
func (h *histogram) leastHeld(r float64) float64 {
	c := h.chances(r)
	for k := 2; k < mostMultiples; k++ {
		longer, _ := h.between((float64(k)-0.5)*r, forever)
		if e := c.expected(k); e < expectedFalse || e < heldShare*float64(longer) {
			return float64(k)
		}
	}
	return mostMultiples
}

func secondSmallest(x []float64) float64 {
	a, b := math.Inf(1), math.Inf(1)
	for _, v := range x {
		switch {
		case v < a:
			a, b = v, a
		case v < b:
			b = v
		}
	}
	return b
}
