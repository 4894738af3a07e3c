package harmonic

import "math"

// uneven is how many times the scatter that noise gives the phase of single turns
// may be, and unevenLeast the least, in turns, while the torch is taken to turn
// evenly. Ours; common practice, no source.
const (
	uneven      = 3
	unevenLeast = 0.003
)

// oneTurn is the wave in one turn, as a complex number, and where the turn is.
type oneTurn struct{ cos, sin, weight, x float64 }

// correctByPhases looks at the phase of the stronger wave turn by turn. Where it wanders
// more than noise makes it, the rotation is not even: then the mean over the curve
// is what lies between the phases of the first turn and the last, for a line
// through all of them would weigh the middle most.
func (c *Curve) correctByPhases(r *Rhythm, m model, noise Noise) {
	j := r.stronger()
	turns := c.turnByTurn(r.Order, j+1, m)
	if len(turns) < 3 {
		return
	}
	off := phases(turns, j+1)
	sum, n := 0.0, float64(len(off))
	for _, e := range off {
		sum += e * e
	}
	r.Wander = math.Sqrt(sum / n)
	// One of n turns has n times the noise power of all.
	byNoise := math.Sqrt(noise.Power*n/2) / r.Waves[j].Amplitude() / (2 * math.Pi * float64(j+1))
	apart := turns[len(turns)-1].x - turns[0].x
	if r.Wander > uneven*byNoise+unevenLeast {
		r.Order += (off[len(off)-1] - off[0]) / apart
		r.Uncertainty = math.Hypot(r.Uncertainty, r.Wander*math.Sqrt2/apart)
		return
	}
	// The slope of a line through n phases, evenly spaced.
	r.Uncertainty = math.Max(r.Uncertainty, r.Wander*math.Sqrt(12/n)/apart)
}

// turnByTurn demodulates a harmonic of an order: of each turn, the mean of the
// curve without level and drift, turned back by the phase that an even rotation
// has there.
func (c *Curve) turnByTurn(order float64, harmonic int, m model) []oneTurn {
	var turns []oneTurn
	most := 0.0
	for k, x := range c.X {
		number := int(math.Abs(x-c.X[0]) * order)
		for len(turns) <= number {
			turns = append(turns, oneTurn{})
		}
		t := &turns[number]
		y := c.Y[k] - m.level - m.drift*(x-m.middle)
		sin, cos := math.Sincos(2 * math.Pi * float64(harmonic) * order * x)
		t.cos, t.sin, t.x, t.weight = t.cos+c.W[k]*y*cos, t.sin+c.W[k]*y*sin, t.x+c.W[k]*x, t.weight+c.W[k]
		most = math.Max(most, t.weight)
	}
	whole := turns[:0]
	for _, t := range turns {
		if t.weight > 0.8*most { // a part of a turn says nothing about its phase
			t.x /= t.weight
			whole = append(whole, t)
		}
	}
	return whole
}

// phases returns how far ahead, in turns, each turn is of the mean of them all.
func phases(turns []oneTurn, harmonic int) []float64 {
	var cos, sin float64
	for _, t := range turns {
		cos, sin = cos+t.cos, sin+t.sin
	}
	off := make([]float64, len(turns))
	for k, t := range turns {
		// A wave that comes late has its crest further on: it is behind.
		off[k] = -math.Atan2(t.sin*cos-t.cos*sin, t.cos*cos+t.sin*sin) / (2 * math.Pi * float64(harmonic))
	}
	return off
}
