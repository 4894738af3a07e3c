package heat

import (
	"math"
	"math/rand/v2"
	"slices"

	"arctally/acquire/quantity"
)

// Simulated is what a heat input turned out to be in many draws of everything
// that is not known about it.
type Simulated struct {
	Draws     int
	Mean      quantity.JoulesPerMetre
	Standard  quantity.JoulesPerMetre // standard deviation of the draws
	Low, High quantity.JoulesPerMetre // hold the share of the draws that was asked for
}

// Simulate propagates the distributions of a budget through
//
//	Q = q * product(1+x_i) / product(1+x_j)
//
// with a draw x for each factor i and each divisor j, and returns the interval
// that leaves out as many draws on either side. It is the check of the linear
// formula: no derivative and no normal result is taken for granted. Source: JCGM
// 101; standing: memory. The same seed gives the same bits. It panics on less
// than 1000 draws and on a share that is not between 0 and 1.
func Simulate(q quantity.JoulesPerMetre, b Budget, share float64, draws int, seed uint64) Simulated {
	if draws < 1000 || share <= 0 || share >= 1 {
		panic("heat: a simulation of too few draws, or without a share")
	}
	random := rand.New(rand.NewPCG(seed, uint64(draws)))
	drawn := make([]float64, draws)
	mean, squares := 0.0, 0.0
	for k := range drawn {
		ratio := b.draw(random)
		drawn[k] = ratio
		step := ratio - mean
		mean += step / float64(k+1)
		squares += step * (ratio - mean)
	}
	slices.Sort(drawn)
	out := int(math.Round(float64(draws) * (1 - share) / 2))
	return Simulated{
		Draws: draws, Mean: q * quantity.JoulesPerMetre(mean),
		Standard: q * quantity.JoulesPerMetre(math.Sqrt(squares/float64(draws-1))),
		Low:      q * quantity.JoulesPerMetre(drawn[out]), High: q * quantity.JoulesPerMetre(drawn[draws-1-out]),
	}
}

// draw is the result of one draw of every component, as a share of the heat input.
func (b Budget) draw(random *rand.Rand) float64 {
	ratio := 1.0
	for k := range b {
		if x := 1 + b[k].draw(random); b[k].Divisor {
			ratio /= x
		} else {
			ratio *= x
		}
	}
	return ratio
}

// draw is one value of a component. Where few degrees of freedom are known it
// comes from a Student distribution, which is wider.
func (c *Component) draw(random *rand.Rand) float64 {
	switch {
	case c.Uncertainty == 0:
		return 0
	case c.Distribution == Rectangular:
		return c.Uncertainty * math.Sqrt(3) * (2*random.Float64() - 1)
	case c.Freedom >= 1 && c.Freedom <= fewDegrees:
		squares := 0.0
		nu := math.Floor(c.Freedom)
		for range int(nu) {
			z := random.NormFloat64()
			squares += z * z
		}
		return c.Uncertainty * random.NormFloat64() / math.Sqrt(squares/nu)
	default:
		return c.Uncertainty * random.NormFloat64()
	}
}

// fewDegrees of freedom are drawn from a Student distribution; beyond, a normal
// one differs by less than the draws scatter.
const fewDegrees = 100
