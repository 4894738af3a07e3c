// Package harmonic knows what repeats once a turn in a signal that is not evenly
// sampled, because the arc is out in gaps: waves fitted by least squares, the
// noise between them, and how sure one may be that a wave is none of it.
//
// Terms. A curve is a signal over turns. An order is waves in a turn; order 1 is
// once a turn. The model of a curve over turns x is a level, a drift and waves:
//
//	y = c0 + c1*x + sum over orders q of ( C*cos(2*pi*q*x) + S*sin(2*pi*q*x) )
//
// The spectrum between the whole orders is taken for noise: nothing about the
// wall or the torch can be there. With M such places and their mean power B, a
// place where there is only noise has the power P or more with the chance
//
//	p = (1 + P/(B*M))^-M
//
// which is the F distribution with 2 and 2M degrees of freedom. Source: plain
// statistics of a sinusoid in Gaussian noise; standing: memory, checked by the
// rate of false alarms in constructed noise. Noise that is stronger between the
// whole orders than on them makes this careful; red noise, stronger towards slow
// changes, makes it hopeful, and so the drift is fitted with the waves.
//
// Everything is pure computation. There are no errors; too little to go by is
// false, or a chance of 1.
package harmonic

import "math"

// Curve is a signal over turns; the three slices have one length.
type Curve struct {
	X []float64 // turns
	Y []float64
	W []float64 // weight: the time that stands behind Y
}

// Wave is one fitted wave.
type Wave struct{ Cos, Sin float64 }

// Power returns the square of the amplitude.
func (w Wave) Power() float64 { return w.Cos*w.Cos + w.Sin*w.Sin }

// Amplitude returns half of the swing from crest to trough.
func (w Wave) Amplitude() float64 { return math.Hypot(w.Cos, w.Sin) }

// Crest returns where in a wave its crest is, in turns of the wave, 0 to 1.
func (w Wave) Crest() float64 {
	x := math.Atan2(w.Sin, w.Cos) / (2 * math.Pi)
	return x - math.Floor(x)
}

// Add puts another point to the curve.
func (c *Curve) Add(x, y, w float64) {
	c.X, c.Y, c.W = append(c.X, x), append(c.Y, y), append(c.W, w)
}

// Turns returns the turns that the curve covers.
func (c *Curve) Turns() float64 {
	if len(c.X) == 0 {
		return 0
	}
	return math.Abs(c.X[len(c.X)-1] - c.X[0])
}

// Mean returns the weighted mean.
func (c *Curve) Mean() float64 {
	sum, weight := 0.0, 0.0
	for k, y := range c.Y {
		sum += y * c.W[k]
		weight += c.W[k]
	}
	if weight == 0 {
		return 0
	}
	return sum / weight
}

// mostOrders is how many orders are fitted together at most.
const mostOrders = 2

// terms is the size of the fit with that many orders.
const terms = 2 + 2*mostOrders

// Fit returns the waves of one or two orders, fitted together with level and
// drift. It is false where the points do not tell them apart.
func (c *Curve) Fit(orders ...float64) ([mostOrders]Wave, bool) {
	m, ok := c.fit(orders...)
	return m.waves, ok
}

// model is a fitted curve.
type model struct {
	level, drift, middle float64
	waves                [mostOrders]Wave
	explained            float64 // of the sum of squares about the mean
}

// fit fits the whole model.
func (c *Curve) fit(orders ...float64) (m model, ok bool) {
	f := c.fitting()
	if len(orders) == 1 {
		return f.one(orders[0])
	}
	return f.two(orders[0], orders[1])
}

// solve replaces right by the solution of the symmetric system of which normal
// holds the upper half, by Cholesky's method.
func solve(normal *[terms][terms]float64, right *[terms]float64, n int) bool {
	const singular = 1e-9 // of the diagonal
	for a := range n {
		whole := normal[a][a]
		for k := range a {
			normal[a][a] -= normal[k][a] * normal[k][a]
		}
		if !(normal[a][a] > singular*whole) {
			return false
		}
		normal[a][a] = math.Sqrt(normal[a][a])
		for b := a + 1; b < n; b++ {
			for k := range a {
				normal[a][b] -= normal[k][a] * normal[k][b]
			}
			normal[a][b] /= normal[a][a]
		}
		for k := range a {
			right[a] -= normal[k][a] * right[k]
		}
		right[a] /= normal[a][a]
	}
	for a := n - 1; a >= 0; a-- {
		for b := a + 1; b < n; b++ {
			right[a] -= normal[a][b] * right[b]
		}
		right[a] /= normal[a][a]
	}
	return true
}
