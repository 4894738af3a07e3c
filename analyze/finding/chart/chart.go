package chart

import "math"

// The factors of charts of single values, whose moving range spans two: the mean
// range is d2 standard deviations, and D4 times it is the limit of the range.
// Source: tables of control chart constants, as NIST 6.3.2.2 uses them; standing:
// memory, checked against constructed cases.
const (
	d2 = 1.128
	d4 = 3.267
)

// Individuals is the chart of single values and their moving range:
//
//	limits = m +- 3*R/d2      limit of the range = D4*R
//
// with the mean m and the mean moving range R.
type Individuals struct {
	moments Moments
	last    float64
	ranges  float64
}

// Add takes the next value of the series from which the limits come.
func (c *Individuals) Add(x float64) {
	if c.moments.n > 0 {
		c.ranges += math.Abs(x - c.last)
	}
	c.last = x
	c.moments.Add(x)
}

// Moments returns those of the series.
func (c *Individuals) Moments() Moments { return c.moments }

// MeanRange returns the mean moving range, NaN of fewer than two values.
func (c *Individuals) MeanRange() float64 {
	if c.moments.n < 2 {
		return math.NaN()
	}
	return c.ranges / float64(c.moments.n-1)
}

// Sigma returns the standard deviation that the moving range gives.
func (c *Individuals) Sigma() float64 { return c.MeanRange() / d2 }

// Limits returns lower and upper limit of a value.
func (c *Individuals) Limits() (low, high float64) {
	return c.moments.Mean() - 3*c.Sigma(), c.moments.Mean() + 3*c.Sigma()
}

// RangeLimit returns the upper limit of a moving range.
func (c *Individuals) RangeLimit() float64 { return d4 * c.MeanRange() }

// EWMA is the exponentially weighted moving average
//
//	z[i] = Lambda*x[i] + (1 - Lambda)*z[i-1]      z[0] = Start
//
// with the limits
//
//	Start +- Width*Sigma*sqrt( Lambda/(2-Lambda) * (1 - (1-Lambda)^(2i)) )
//
// Source: NIST 6.3.2.4, whose limits leave the last bracket out; standing: secondary.
type EWMA struct {
	Lambda, Start, Sigma, Width float64

	z    float64
	left float64 // (1-Lambda)^i
}

// Add takes the next value.
func (c *EWMA) Add(x float64) {
	if c.left == 0 {
		c.z, c.left = c.Start, 1
	}
	c.z = c.Lambda*x + (1-c.Lambda)*c.z
	c.left *= 1 - c.Lambda
}

// Average returns the present average, the start before the first value.
func (c *EWMA) Average() float64 {
	if c.left == 0 {
		return c.Start
	}
	return c.z
}

// Limits returns the exact limits of the present average.
func (c *EWMA) Limits() (low, high float64) {
	half := c.Settled() * math.Sqrt(1-c.left*c.left)
	return c.Start - half, c.Start + half
}

// Settled returns half the distance of the limits after many values.
func (c *EWMA) Settled() float64 {
	return c.Width * c.Sigma * math.Sqrt(c.Lambda/(2-c.Lambda))
}

// CUSUM is the tabular cumulative sum
//
//	H[i] = max(0, H[i-1] + x[i] - (Target + Slack))
//	L[i] = max(0, L[i-1] + (Target - Slack) - x[i])
//
// It signals when either is above Decision. The run of values since a sum was
// last 0 dates the change. Source: Page 1954; the tabular form from a textbook,
// table 16-8; standing: memory and read.
type CUSUM struct {
	Target, Slack, Decision float64

	High, Low       float64
	HighRun, LowRun int // values since the sum was 0
}

// Add takes the next value, and tells whether it signals.
func (c *CUSUM) Add(x float64) bool {
	c.High, c.HighRun = pile(c.High, c.HighRun, x-(c.Target+c.Slack))
	c.Low, c.LowRun = pile(c.Low, c.LowRun, (c.Target-c.Slack)-x)
	return c.High > c.Decision || c.Low > c.Decision
}

func pile(sum float64, run int, by float64) (float64, int) {
	if sum+by <= 0 {
		return 0, 0
	}
	return sum + by, run + 1
}
