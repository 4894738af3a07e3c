package chart

import "math"

// Sums are Individuals and Moments of a series into which values come, and out of which
// they go, in any order: for what is kept for years and grows at any place. With the sum S
// of the values, Q of their squares, R of the moving ranges and P of the products of
// neighbours,
//
//	m = S/n      mean range = R/(n-1)
//	r1 = ( P - m*(2*S - x1 - xn) + (n-1)*m^2 ) / ( Q - n*m^2 )
//
// for the first value x1 and the last xn, which are handed in. The formulas are those of
// Individuals and Moments multiplied out, and less exact: a spread below some millionths of
// the mean is taken for none.
type Sums struct {
	N                                int64
	Total, Squares, Ranges, Products float64
}

// least is the variance, as a share of the mean square, below which the sums know of none.
const least = 1e-12

// Between is what a value adds that stands between two others; nil is no neighbour there.
func Between(before *float64, x float64, after *float64) Sums {
	s := Sums{N: 1, Total: x, Squares: x * x}
	if before != nil {
		s.meet(*before, x, 1)
	}
	if after != nil {
		s.meet(x, *after, 1)
	}
	if before != nil && after != nil {
		s.meet(*before, *after, -1)
	}
	return s
}

// meet counts two neighbours in, or out.
func (s *Sums) meet(a, b, sign float64) {
	s.Ranges += sign * math.Abs(a-b)
	s.Products += sign * a * b
}

// Minus is what takes all of it away again.
func (s Sums) Minus() Sums { return Sums{-s.N, -s.Total, -s.Squares, -s.Ranges, -s.Products} }

// Plus is both together.
func (s Sums) Plus(o Sums) Sums {
	return Sums{s.N + o.N, s.Total + o.Total, s.Squares + o.Squares, s.Ranges + o.Ranges, s.Products + o.Products}
}

// Mean returns the mean, NaN of none.
func (s Sums) Mean() float64 {
	if s.N == 0 {
		return math.NaN()
	}
	return s.Total / float64(s.N)
}

// MeanRange returns the mean moving range, NaN of fewer than two values.
func (s Sums) MeanRange() float64 {
	if s.N < 2 {
		return math.NaN()
	}
	return max(s.Ranges, 0) / float64(s.N-1)
}

// Limits returns lower and upper limit of a value, widened as Moments.Widening has it; it is
// false where it refuses them.
func (s Sums) Limits(first, last float64) (low, high, factor float64, ok bool) {
	factor, ok = widening(s.autocorrelation(first, last), float64(s.N))
	half := 3 * factor * s.MeanRange() / d2
	return s.Mean() - half, s.Mean() + half, factor, ok
}

// autocorrelation is NaN where nothing varies.
func (s Sums) autocorrelation(first, last float64) float64 {
	n, m := float64(s.N), s.Mean()
	squares := s.Squares - n*m*m
	if !(squares > least*s.Squares) {
		return math.NaN()
	}
	return (s.Products - m*(2*s.Total-first-last) + (n-1)*m*m) / squares
}
