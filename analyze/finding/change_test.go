package finding

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// readingsOf are readings of one weight.
func readingsOf(values ...float64) (x []reading) {
	for _, v := range values {
		x = append(x, reading{mean: v, weight: 1})
	}
	return x
}

// ST-15 (constructed): 50 samples of 20.0, then 50 of 22.0, part at 50.
func TestChange_findsTheStep(t *testing.T) {
	var values []float64
	for k := range 100 {
		values = append(values, 20)
		if k >= 50 {
			values[k] = 22
		}
	}
	x := readingsOf(values...)
	require.Equal(t, 50, change(x))
	require.Zero(t, change(x[:50]), "no step at all")
	require.Zero(t, change(x[:1]))
	require.Equal(t, 1, change(readingsOf(3, 5)))
}

// By hand. Of 0, 0, 6, 3, 3 the splits give w1*w2/5*(mean1-mean2)^2 of 4/5*3^2 = 7.2,
// 6/5*4^2 = 19.2, 6/5*1^2 = 1.2 and 4/5*0.75^2 = 0.45. With a weight of 3 for the
// second 0, the sums are 7 and 12: 6/7*(12/6)^2 = 3.43, 12/7*4^2 = 27.43, 10/7*1.8^2 = 4.63
// and 6/7*2^2 = 3.43.
func TestChange_byHand(t *testing.T) {
	x := readingsOf(0, 0, 6, 3, 3)
	require.Equal(t, 2, change(x))
	x[1].weight = 3
	require.Equal(t, 2, change(x))
	// A long reading counts for more than a short one: 1 for 9 s, then 4 for 1 s and
	// 4.5 for 9 s: 90/19*(1-4.45)^2 = 56.4 at the first, 90/19*(1.3-4.5)^2 = 48.5 at the second.
	x = readingsOf(1, 4, 4.5)
	x[0].weight, x[2].weight = 9, 9
	require.Equal(t, 1, change(x))
	x[1].mean = 2 // 90/19*(1-4.25)^2 = 50.0 against 90/19*(1.1-4.5)^2 = 54.8
	require.Equal(t, 2, change(x))
}
