package harmonic

import "math"

// Noise is what the spectrum of a curve holds between the whole orders.
type Noise struct {
	Power  float64 // mean of the squared amplitudes
	Places int     // where it was looked at
}

const (
	lowestOrder  = 0.5 // below it a drift and noise look alike
	highestOrder = 6.5
	spread       = 1.5 // places of the spectrum that a wave may spread to either side
)

// Noise looks at the spectrum between the whole multiples of an order.
func (c *Curve) Noise(order float64) Noise {
	turns := c.Turns() * order
	var n Noise
	if turns < 1 {
		return n
	}
	f := c.fitting()
	for k := math.Ceil(lowestOrder * turns); k <= highestOrder*turns; k++ {
		at := k / turns
		if math.Abs(at-math.Round(at))*turns < spread {
			continue
		}
		m, ok := f.one(at * order)
		if !ok {
			continue
		}
		n.Power += m.waves[0].Power()
		n.Places++
	}
	if n.Places > 0 {
		n.Power /= float64(n.Places)
	}
	return n
}

// Chance returns how likely noise alone has a power or more at one place.
func (n Noise) Chance(power float64) float64 {
	if n.Places == 0 {
		return 1
	}
	if n.Power == 0 {
		return chanceOfNothing(power)
	}
	m := float64(n.Places)
	return math.Pow(1+power/(n.Power*m), -m)
}

func chanceOfNothing(power float64) float64 {
	if power > 0 {
		return 0
	}
	return 1
}

// PowerAt returns the power that noise alone has, or exceeds, with a chance: the
// least that can be told from noise.
func (n Noise) PowerAt(chance float64) float64 {
	if n.Places == 0 {
		return math.Inf(1)
	}
	m := float64(n.Places)
	return n.Power * m * (math.Pow(chance, -1/m) - 1)
}

// Uncertainty returns the standard uncertainty of the cosine and of the sine of
// a wave, and so of its amplitude.
func (n Noise) Uncertainty() float64 { return math.Sqrt(n.Power / 2) }
