// Package chart knows the control charts of a process that repeats: individuals
// with moving range, EWMA and tabular CUSUM, and the statistics they rest on.
//
// All of them assume values that are independent of one another. Where each
// value resembles the one before it, limits computed from short-term scatter are
// crossed by chance; so every use begins with a look at the lag-1
// autocorrelation (Moments.Widening), which widens the limits or refuses them.
//
// Formulas, with their sources, stand at the types. The package has no errors; a
// statistic of too few values is NaN, and says so.
package chart

import "math"

// Moments are mean, spread and lag-1 autocorrelation of a series, updated value
// by value without ever forming a sum of squares of the values themselves:
//
//	m'  = m + (x - m)/n
//	M2' = M2 + (x - m)*(x - m')
//
// with the mean m and the sum M2 of squares about it, and for the sum S of
// products of neighbours about the mean, with d = m' - m,
//
//	S'  = S + d*((x1 - m) + (xl - m)) + (n-2)*d^2 + (xl - m')*(x - m')
//
// with the first value x1 and the last xl. Source of the first two: Welford
// 1962; standing: memory. The third is our own, by re-centring. All are checked
// against the NIST reference data sets.
type Moments struct {
	n           int
	mean, m2, s float64
	first, last float64
}

// Add takes the next value.
func (m *Moments) Add(x float64) {
	if m.n == 0 {
		*m = Moments{n: 1, mean: x, first: x, last: x}
		return
	}
	d := (x - m.mean) / float64(m.n+1)
	m2 := m.m2 + (x-m.mean)*(x-m.mean-d)
	m.centre(m.mean + d)
	m.s += (m.last - m.mean) * (x - m.mean)
	m.n, m.m2, m.last = m.n+1, m2, x
}

// centre moves the centre that s and m2 are about.
func (m *Moments) centre(to float64) {
	d := to - m.mean
	m.s += d*((m.first-m.mean)+(m.last-m.mean)) + float64(m.n-1)*d*d
	m.m2 += float64(m.n) * d * d
	m.mean = to
}

// Join takes in a series that followed this one.
func (m *Moments) Join(next Moments) {
	switch {
	case next.n == 0:
		return
	case m.n == 0:
		*m = next
		return
	}
	mean := m.mean + (next.mean-m.mean)*float64(next.n)/float64(m.n+next.n)
	m.centre(mean)
	next.centre(mean)
	m.s += next.s + (m.last-mean)*(next.first-mean)
	m.m2 += next.m2
	m.n, m.last = m.n+next.n, next.last
}

// Count returns how many values there were.
func (m Moments) Count() int { return m.n }

// Mean returns the mean, NaN of none.
func (m Moments) Mean() float64 {
	if m.n == 0 {
		return math.NaN()
	}
	return m.mean
}

// Deviation returns the standard deviation with n-1, NaN of fewer than two.
func (m Moments) Deviation() float64 {
	if m.n < 2 {
		return math.NaN()
	}
	return math.Sqrt(m.m2 / float64(m.n-1))
}

// Autocorrelation returns the lag-1 autocorrelation, NaN where nothing varies:
//
//	r1 = sum( (x[t]-m)*(x[t+1]-m) ) / sum( (x[t]-m)^2 )
func (m Moments) Autocorrelation() float64 { return m.s / m.m2 }

// refuseFrom is the autocorrelation from which no limits are given: three times
// as wide, they would say nothing. Ours, no source.
const refuseFrom = 0.8

// Widening returns the factor by which limits on these values must be widened
// because each resembles the one before it,
//
//	f = sqrt( (1 + r1)/(1 - r1) )
//
// the long-term spread of a first-order autoregressive series over that of an
// independent one, where r1 is beyond what chance does, 2/sqrt(n). It is false
// where r1 is so great that limits would say nothing. A negative r1 narrows
// nothing. Source of the formula and the bound: textbook; standing: memory.
func (m Moments) Widening() (factor float64, ok bool) {
	return widening(m.Autocorrelation(), float64(m.n))
}

// widening is that of n values with a lag-1 autocorrelation r.
func widening(r, n float64) (factor float64, ok bool) {
	switch {
	case !(r > 2/math.Sqrt(n)):
		return 1, true
	case r >= refuseFrom:
		return 0, false
	default:
		return math.Sqrt((1 + r) / (1 - r)), true
	}
}
