package harmonic

import "math"

// fitting holds what fits of one curve have in common, whatever their orders. Its sums
// are added in the order of the points, term by term, as the normal equations of one fit
// alone would be: so a fit is the same to the bit, however many others are made.
type fitting struct {
	middle, mean float64
	points       []fitPoint
	level        float64 // sum of w
	drift        float64 // of w*x
	drifts       float64 // of w*x*x
	value        float64 // of w*y
	slope        float64 // of w*x*y
}

// fitPoint is a point whose turns are counted from the middle, and whose value from the mean.
type fitPoint struct{ turns, x, y, w, wx float64 }

func (c *Curve) fitting() *fitting {
	f := &fitting{points: make([]fitPoint, len(c.X)), mean: c.Mean()} // the mean keeps the sums small
	if len(c.X) == 0 {
		return f
	}
	f.middle = (c.X[0] + c.X[len(c.X)-1]) / 2
	for k, turns := range c.X {
		x, y, w := turns-f.middle, c.Y[k]-f.mean, c.W[k]
		wx := w * x
		f.points[k] = fitPoint{turns, x, y, w, wx}
		f.level += w
		f.drift += wx
		f.drifts += wx * x
		f.value += w * y
		f.slope += wx * y
	}
	return f
}

// waveSums are the sums that one wave has with level, drift and itself.
type waveSums struct {
	cos, sin, driftCos, driftSin, cosCos, cosSin, sinSin, cosY, sinY float64
}

// add takes a point at which the wave is at cos and sin.
func (s *waveSums) add(p *fitPoint, cos, sin float64) {
	wc, ws := p.w*cos, p.w*sin
	s.cos += wc
	s.sin += ws
	s.driftCos += p.wx * cos
	s.driftSin += p.wx * sin
	s.cosCos += wc * cos
	s.cosSin += wc * sin
	s.sinSin += ws * sin
	s.cosY += wc * p.y
	s.sinY += ws * p.y
}

// into puts the sums into the normal equations, the wave being their j-th.
func (s *waveSums) into(normal *[terms][terms]float64, right *[terms]float64, j int) {
	a, b := 2+2*j, 3+2*j
	normal[0][a], normal[0][b], normal[1][a], normal[1][b] = s.cos, s.sin, s.driftCos, s.driftSin
	normal[a][a], normal[a][b], normal[b][b] = s.cosCos, s.cosSin, s.sinSin
	right[a], right[b] = s.cosY, s.sinY
}

// one fits the wave of one order.
func (f *fitting) one(order float64) (m model, ok bool) {
	var s waveSums
	for k := range f.points {
		p := &f.points[k]
		sin, cos := math.Sincos(2 * math.Pi * order * p.turns)
		s.add(p, cos, sin)
	}
	var normal [terms][terms]float64
	var right [terms]float64
	s.into(&normal, &right, 0)
	return f.solved(&normal, &right, 1)
}

// two fits the waves of two orders together.
func (f *fitting) two(order, other float64) (m model, ok bool) {
	var s, o waveSums
	var cosCos, cosSin, sinCos, sinSin float64 // of the first with the other
	double := other == 2*order
	for k := range f.points {
		p := &f.points[k]
		sin, cos := math.Sincos(2 * math.Pi * order * p.turns)
		s.add(p, cos, sin)
		sin2, cos2 := 2*sin*cos, cos*cos-sin*sin
		if !double {
			sin2, cos2 = math.Sincos(2 * math.Pi * other * p.turns)
		}
		o.add(p, cos2, sin2)
		wc, ws := p.w*cos, p.w*sin
		cosCos += wc * cos2
		cosSin += wc * sin2
		sinCos += ws * cos2
		sinSin += ws * sin2
	}
	var normal [terms][terms]float64
	var right [terms]float64
	s.into(&normal, &right, 0)
	o.into(&normal, &right, 1)
	normal[2][4], normal[2][5], normal[3][4], normal[3][5] = cosCos, cosSin, sinCos, sinSin
	return f.solved(&normal, &right, 2)
}

// solved solves the normal equations of so many waves.
func (f *fitting) solved(normal *[terms][terms]float64, right *[terms]float64, waves int) (m model, ok bool) {
	n := 2 + 2*waves
	if len(f.points) <= n {
		return m, false
	}
	normal[0][0], normal[0][1], normal[1][1] = f.level, f.drift, f.drifts
	right[0], right[1] = f.value, f.slope
	was := *right
	if !solve(normal, right, n) {
		return m, false
	}
	for a := range n {
		m.explained += was[a] * right[a]
	}
	for j := range waves {
		m.waves[j] = Wave{right[2+2*j], right[3+2*j]}
	}
	m.level, m.drift, m.middle = f.mean+right[0], right[1], f.middle
	return m, true
}
