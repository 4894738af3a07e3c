package harmonic

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// A fit is to the bit what the normal equations give that are summed up plainly for it alone.
func TestFitting_IsThePlainFit(t *testing.T) {
	for seed := range uint64(200) {
		dice := rand.New(rand.NewPCG(seed, 11))
		var c Curve
		for k := range dice.IntN(400) {
			c.Add(float64(k)/40+dice.Float64()/100, 140+10*dice.NormFloat64(), float64(dice.IntN(4)))
		}
		order := 0.5 + dice.Float64()
		for _, orders := range [][]float64{{order}, {order, 2 * order}, {order, 3.1 * order}, {1, 2}, {2, 1}, {1, 1}} {
			want, known := c.plainly(orders...)
			got, ok := c.fit(orders...)
			require.Equal(t, known, ok)
			require.Equal(t, bitsOf(&want), bitsOf(&got), "%d points, orders %v", len(c.X), orders)
		}
	}
}

func bitsOf(m *model) (bits []uint64) {
	for _, x := range []float64{m.level, m.drift, m.middle, m.explained, m.waves[0].Cos, m.waves[0].Sin, m.waves[1].Cos, m.waves[1].Sin} {
		bits = append(bits, math.Float64bits(x))
	}
	return bits
}

// plainly fits the whole model, term by term of the normal equations.
func (c *Curve) plainly(orders ...float64) (m model, ok bool) {
	n := 2 + 2*len(orders)
	var normal [terms][terms]float64
	var right, row [terms]float64
	if len(c.X) <= n {
		return m, false
	}
	middle := (c.X[0] + c.X[len(c.X)-1]) / 2
	mean := c.Mean() // keeps the sums small
	for k, x := range c.X {
		row[0], row[1] = 1, x-middle
		for j, q := range orders {
			if j == 1 && q == 2*orders[0] { // by the formulas of the double angle
				row[5], row[4] = 2*row[3]*row[2], row[2]*row[2]-row[3]*row[3]
				continue
			}
			row[3+2*j], row[2+2*j] = math.Sincos(2 * math.Pi * q * x)
		}
		w, y := c.W[k], c.Y[k]-mean
		for a := range n {
			wa := w * row[a]
			right[a] += wa * y
			for b := a; b < n; b++ {
				normal[a][b] += wa * row[b]
			}
		}
	}
	was := right
	if !solve(&normal, &right, n) {
		return m, false
	}
	for a := range n {
		m.explained += was[a] * right[a]
	}
	for j := range orders {
		m.waves[j] = Wave{right[2+2*j], right[3+2*j]}
	}
	m.level, m.drift, m.middle = mean+right[0], right[1], middle
	return m, true
}
