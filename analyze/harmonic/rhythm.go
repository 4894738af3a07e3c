package harmonic

import "math"

// Rhythm is a once-a-turn rhythm that was found in a curve whose turns are only
// assumed.
type Rhythm struct {
	Order       float64 // true turns to an assumed one
	Uncertainty float64 // standard, of Order
	Chance      float64 // that noise alone looks like it
	Waves       [mostOrders]Wave
	// Wander is how far the torch was from where an even rotation has it, in true
	// turns, root mean square of the turns one by one.
	Wander float64
}

// Where a rhythm is looked for, and how sure one must be of it. Ours; common
// practice, no source. Twice the order lies outside on purpose: an oval bore
// must not pass for a torch that turns twice as fast.
const (
	slowest = 0.72
	fastest = 1.38
	// LeastTurns is how many turns must be seen before a rhythm is one.
	LeastTurns = 3.5
	certain    = 1e-6
	perPlace   = 8 // steps of the search to a place of the spectrum
)

// FindRhythm looks for the rhythm of a torch that turns about as fast as the
// turns of the curve say. A rhythm has to stand out of the noise, once or twice
// a turn, and to be there in both halves of the curve alike.
func (c *Curve) FindRhythm() (Rhythm, bool) {
	var r Rhythm
	turns := c.Turns()
	if turns < LeastTurns {
		return r, false
	}
	places := 0
	best := 0.0
	step := 1 / (turns * perPlace)
	f := c.fitting()
	for q := slowest; q <= fastest; q += step {
		places++
		if p := f.explained(q); p > best {
			best, r.Order = p, q
		}
	}
	if r.Order <= slowest || r.Order >= fastest-step || turns*r.Order < LeastTurns {
		return r, false
	}
	r.Order = f.sharpen(r.Order-step, r.Order+step)
	noise := c.Noise(r.Order)
	m, ok := f.two(r.Order, 2*r.Order)
	if !ok {
		return r, false
	}
	waves := m.waves
	r.Waves = waves
	chance := min(noise.Chance(waves[0].Power()), noise.Chance(waves[1].Power()))
	r.Chance = min(1, chance*2*float64(places)/perPlace)
	if r.Chance >= certain || !c.lasts(r, noise) {
		return r, false
	}
	r.Uncertainty = uncertainty(waves, noise, turns)
	c.correctByPhases(&r, m, noise)
	return r, true
}

// stronger is the index of the stronger wave.
func (r *Rhythm) stronger() int {
	if r.Waves[1].Power() > r.Waves[0].Power() {
		return 1
	}
	return 0
}

// explained is how much of the sum of squares two waves of an order explain.
func (f *fitting) explained(order float64) float64 {
	m, _ := f.two(order, 2*order)
	return m.explained
}

// sharpen finds the order that explains most between two, by golden section.
func (f *fitting) sharpen(low, high float64) float64 {
	const golden, rounds = 0.6180339887498949, 22
	a, b := high-golden*(high-low), low+golden*(high-low)
	fa, fb := f.explained(a), f.explained(b)
	for range rounds {
		if fa > fb {
			high, b, fb = b, a, fa
			a = high - golden*(high-low)
			fa = f.explained(a)
		} else {
			low, a, fa = a, b, fb
			b = low + golden*(high-low)
			fb = f.explained(b)
		}
	}
	return (low + high) / 2
}

// uncertainty is that of the order of a wave of amplitude A and its double A2 in
// noise of power B over n turns:
//
//	u = sqrt( 6*B / (A^2 + 4*A2^2) ) / (2*pi*n)
//
// Source: the Cramer-Rao bound of the frequency of a sinusoid in white noise;
// standing: memory, checked by the scatter in constructed noise.
func uncertainty(waves [mostOrders]Wave, noise Noise, turns float64) float64 {
	power := waves[0].Power() + 4*waves[1].Power()
	return math.Sqrt(6*noise.Power/power) / (2 * math.Pi * turns)
}

// lasts reports whether both halves of the curve have the rhythm: a fault that
// comes once is no rhythm, however strong.
func (c *Curve) lasts(r Rhythm, noise Noise) bool {
	j := r.stronger()
	half := len(c.X) / 2
	for _, part := range []Curve{{c.X[:half], c.Y[:half], c.W[:half]}, {c.X[half:], c.Y[half:], c.W[half:]}} {
		waves, ok := part.Fit(r.Order, 2*r.Order)
		if !ok {
			return false
		}
		// Half of the points have twice the noise power; four times its root is
		// the scatter that is let through beside a third of the wave.
		off := math.Hypot(waves[j].Cos-r.Waves[j].Cos, waves[j].Sin-r.Waves[j].Sin)
		if off > r.Waves[j].Amplitude()/3+3*math.Sqrt(2*noise.Power) {
			return false
		}
		if waves[j].Amplitude() < r.Waves[j].Amplitude()/3 {
			return false
		}
	}
	return true
}
