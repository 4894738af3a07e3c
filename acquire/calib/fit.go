package calib

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Fitted is an ordinary least squares fit of references on readings. Its
// uncertainties are as the formulas of the package say, and 0 where Dof is 0:
// points that leave no residuals say nothing of their scatter.
type Fitted struct {
	N          int
	Dof        int // degrees of freedom: points less fitted numbers
	Offset     float64
	Gain       float64
	ResidualSD float64
	OffsetU    float64
	GainU      float64
	Covariance float64 // of offset and gain
}

// Fit returns the line through the points, or false where fewer than two
// readings differ. It panics on slices of different length.
func Fit(reading, reference []float64) (Fitted, bool) {
	mustPair(reading, reference)
	l := Fitted{N: len(reading), Dof: len(reading) - 2}
	if l.N < 2 {
		return l, false
	}
	mean, sxx := stat.Mean(reading, nil), 0.0
	for _, x := range reading {
		d := x - mean
		sxx += d * d
	}
	if !(sxx > 0) {
		return l, false
	}
	l.Offset, l.Gain = stat.LinearRegression(reading, reference, nil, false)
	least := roundOff * math.Abs(l.Gain*mean)
	l.Offset = atLeast(least, l.Offset)
	l.ResidualSD = atLeast(least, l.scatter(reading, reference))
	s2 := l.ResidualSD * l.ResidualSD
	l.GainU = math.Sqrt(s2 / sxx)
	l.OffsetU = math.Sqrt(s2 * (1/float64(l.N) + mean*mean/sxx))
	l.Covariance = -s2 * mean / sxx
	return l, true
}

// roundOff is what the arithmetic itself leaves of a sum, relative to its parts.
// An offset below it is none, and a scatter below it is no knowledge of one.
const roundOff = 1e-14

func atLeast(least, v float64) float64 {
	if math.Abs(v) < least {
		return 0
	}
	return v
}

// FitThroughZero returns the line through the points and zero, or false where
// no reading differs from zero:
//
//	b = sum(x*y)/sum(x^2),  u(b)^2 = s^2/sum(x^2),  nu = n-1
//
// It panics on slices of different length.
func FitThroughZero(reading, reference []float64) (Fitted, bool) {
	mustPair(reading, reference)
	l := Fitted{N: len(reading), Dof: len(reading) - 1}
	sxx := 0.0
	for _, x := range reading {
		sxx += x * x
	}
	if !(sxx > 0) {
		return l, false
	}
	_, l.Gain = stat.LinearRegression(reading, reference, nil, true)
	l.ResidualSD = l.scatter(reading, reference)
	l.GainU = l.ResidualSD / math.Sqrt(sxx)
	return l, true
}

// scatter is the standard deviation of the residuals, 0 without degrees of freedom.
func (l Fitted) scatter(reading, reference []float64) float64 {
	if l.Dof < 1 {
		return 0
	}
	sum := 0.0
	for k, x := range reading {
		r := reference[k] - l.Offset - l.Gain*x
		sum += r * r
	}
	return math.Sqrt(sum / float64(l.Dof))
}

// At returns the corrected value of a reading, and the standard uncertainty
// that the line gives it; see the formulas of the package.
func (l Fitted) At(reading float64) (value, u float64) {
	u2 := l.OffsetU*l.OffsetU + 2*reading*l.Covariance + reading*reading*l.GainU*l.GainU
	return l.Offset + l.Gain*reading, math.Sqrt(max(0, u2))
}

// twoSigma is the share of a normal distribution within two standard deviations.
const twoSigma = 0.9544997361036416

// forTwo enlarges a standard uncertainty that rests on few degrees of freedom,
// so that twice it covers what two standard deviations of a normal would:
//
//	u' = u * t(95.45 %, nu) / 2
//
// Source: GUM G.3, quantiles of table G.2; standing: memory. Without degrees of
// freedom there is nothing to enlarge.
func forTwo(u float64, dof int) float64 {
	if dof < 1 {
		return 0
	}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(dof)}.Quantile((1 + twoSigma) / 2)
	return u * t / 2
}

// rectangular is the standard uncertainty of limits +-a:
//
//	u = a/sqrt(3)
func rectangular(a float64) float64 { return a / math.Sqrt(3) }

// combined is the root of the sum of squares: independent parts of an uncertainty.
func combined(parts ...float64) float64 {
	sum := 0.0
	for _, u := range parts {
		sum += u * u
	}
	return math.Sqrt(sum)
}

func mustPair(reading, reference []float64) {
	if len(reading) != len(reference) {
		panic("calib: readings and references differ in number")
	}
}
