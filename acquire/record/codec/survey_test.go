package codec

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// What is counted are the bytes of the differences as they are written, whatever the codes are.
func TestSurvey_counts(t *testing.T) {
	dice := rand.New(rand.NewPCG(5, 7))
	for range 300 {
		width := int64(1) << dice.IntN(33)
		c := make([]int32, 1+dice.IntN(700))
		for k := range c {
			c[k] = int32(dice.Int64N(width) - width/2)
			if dice.IntN(50) == 0 {
				c[k] = []int32{math.MaxInt16, math.MinInt16, math.MaxInt32, math.MinInt32}[dice.IntN(4)]
			}
		}
		if dice.IntN(2) == 0 { // all of them fit 16 bits, their differences do not
			for k := range c {
				c[k] = int32(int16(c[k]))
			}
		}
		for order := range uint8(3) {
			s := shape{order: order, size: sizeOf(c), base: c[0]}
			want, got := survey{}, survey{}
			before, step := s.base, int32(0)
			for _, code := range c {
				z := s.difference(code, &before, &step)
				want.few[min(z, beyond)]++
				for plane := range int(s.size) {
					want.planes[plane][byte(z>>(8*plane))]++
				}
			}
			got.count(c, s)
			require.Equal(t, want, got)
		}
	}
}
