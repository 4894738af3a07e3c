package waveform

import (
	"math"

	"arctally/acquire/quantity"
)

// Law is the melting law of a wire, fitted to what was measured:
//
//	w = a*I + b*L*J      J = rms(I)^2
//
// with the wire speed w in m/s, the current I in A, its rms, the extension L in m
// between contact tip and arc, the anode's share a in m/(A*s) and the Joule share
// b in 1/(A^2*s). Source: Lesnewich's law, check value WD-17; standing: secondary,
// for the form only. Constants for steel were not found, so they are fitted, by
// least squares without an intercept.
//
// L is not measured, so only the product b*L can be told. And where all data
// come from one working point, I and J rise and fall together: then neither a nor
// b*L is determined, and only the effective slope is,
//
//	k = sum(w*I)/sum(I^2)
//
// the wire speed for an ampere at this extension.
type Law struct {
	n, i               float64
	ii, ij, jj, wi, wj float64
	ww                 float64
}

// Add takes in some arc time.
func (l *Law) Add(wire quantity.MetresPerSecond, s *Statistics) {
	w, i, j := float64(wire), float64(s.Current), float64(s.RMS)*float64(s.RMS)
	l.n++
	l.i += i
	l.ii += i * i
	l.ij += i * j
	l.jj += j * j
	l.wi += w * i
	l.wj += w * j
	l.ww += w * w
}

// Join takes in what another law rests on.
func (l *Law) Join(o Law) {
	l.n += o.n
	l.i += o.i
	l.ii += o.ii
	l.ij += o.ij
	l.jj += o.jj
	l.wi += o.wi
	l.wj += o.wj
	l.ww += o.ww
}

// Known reports whether there is anything to go by.
func (l *Law) Known() bool { return l.ii > 0 }

// Slope returns the effective slope in m/(A*s).
func (l *Law) Slope() float64 { return l.wi / l.ii }

// What the data must show for the two coefficients to be told apart: each of them
// so many standard errors from zero, and the current spread over so much of its
// mean. At one working point the current wavers without the wire being its cause,
// and a fit to that would be precise and wrong. Ours, no source.
const (
	determined  = 4
	leastSpread = 0.05
)

// Coefficients returns a and b*L, false where the data do not tell them apart.
func (l *Law) Coefficients() (a, bL float64, ok bool) {
	det := l.ii*l.jj - l.ij*l.ij
	if l.n < 3 || l.ii*l.n-l.i*l.i < leastSpread*leastSpread*l.i*l.i || det <= 1e-12*l.ii*l.jj {
		return 0, 0, false
	}
	a = (l.wi*l.jj - l.wj*l.ij) / det
	bL = (l.wj*l.ii - l.wi*l.ij) / det
	rest := math.Max(0, l.ww-a*l.wi-bL*l.wj) / (l.n - 2)
	certain := a > determined*math.Sqrt(rest*l.jj/det) && bL > determined*math.Sqrt(rest*l.ii/det)
	return a, bL, certain
}

// WireSpeed returns what the current of some arc time melts.
func (l *Law) WireSpeed(s *Statistics) quantity.MetresPerSecond {
	if a, bL, ok := l.Coefficients(); ok {
		return quantity.MetresPerSecond(a*float64(s.Current) + bL*float64(s.RMS)*float64(s.RMS))
	}
	return quantity.MetresPerSecond(l.Slope() * float64(s.Current))
}

// Melting is what a law comes to.
type Melting struct {
	Slope float64 // m/(A*s), effective
	// Apart is set where anode and Joule share can be told apart.
	Apart        bool
	Anode, Joule float64 // a in m/(A*s), b*L in m/(A^2*s)
}

// Melting returns what the law comes to, nil where nothing is known.
func (l *Law) Melting() *Melting {
	if !l.Known() {
		return nil
	}
	m := &Melting{Slope: l.Slope()}
	m.Anode, m.Joule, m.Apart = l.Coefficients()
	return m
}
