package calib

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// What a centring asks for; ours, no source.
const (
	fewestAngles = 4   // a mean and a harmonic are three numbers, and something must be left
	widestStep   = 120 // deg between neighbouring angles
)

// Centring is a distance from the torch to the wall that is read by angle on a
// slow dry turn.
type Centring struct {
	Angle          []float64 // deg
	Distance       []float64 // mm
	DistanceLimits float64   // +-a, mm
}

// DefaultDistanceLimits is what a hand-held rule or gauge leaves open, in mm.
// Ours; common practice, no source.
const DefaultDistanceLimits = 0.1

// Check fits the mean and the first harmonic by least squares and returns which
// way the torch is off its centre, and how far:
//
//	d(phi) = m + A*cos(phi) + B*sin(phi)
//	amount = sqrt(A^2 + B^2),  wall farthest at atan2(B, A), torch off the other way
//	u(amount)^2 = (A^2*qAA + 2*A*B*qAB + B^2*qBB) / amount^2 * (u'(s)^2 + u(d)^2)
//
// with q from the inverse of the normal equations, the scatter s of the
// residuals, enlarged for few angles, and u(d) from the limits of a reading.
// Source of the propagation: GUM 5.2.2; standing: memory.
func (k Centring) Check() (*Check, error) {
	if err := k.refuse(); err != nil {
		return nil, err
	}
	h := k.fit()
	c := &Check{Subject: CentringCheck}
	c.figure("angle", "deg", k.Angle...)
	c.figure("distance", "mm", k.Distance...)
	farthest := wrap(math.Atan2(h.b, h.a) * 180 / math.Pi)
	off := wrap(farthest + 180)
	c.outcome("mean_distance", "mm", h.mean, h.uMean)
	c.outcome("off_centre", "mm", h.amount, h.uAmount)
	c.outcome("off_toward", "deg", off, h.uToward)
	c.outcome("residual_standard_deviation", "mm", h.residual, 0)
	c.Sentence = fmt.Sprintf("the torch is %.2g mm off centre toward %d deg (standard uncertainty %.2g mm): the wall is farthest at %d deg; move the bar that way",
		h.amount, whole(off), h.uAmount, whole(farthest))
	if h.amount <= 2*h.uAmount {
		c.Sentence = fmt.Sprintf("the torch is centred as far as these readings tell: %.2g mm off, standard uncertainty %.2g mm", h.amount, h.uAmount)
	}
	return c, nil
}

func (k Centring) refuse() error {
	n := len(k.Angle)
	switch {
	case n != len(k.Distance):
		return fail(Unpaired, CentringCheck, "%d angles and %d distances", n, len(k.Distance))
	case n < fewestAngles:
		return fail(TooFew, CentringCheck, "%d angles; at least %d are needed, all round", n, fewestAngles)
	}
	angles := make([]float64, n)
	for i, a := range k.Angle {
		angles[i] = wrap(a)
	}
	slices.Sort(angles)
	step := angles[0] + 360 - angles[n-1]
	distinct := 1
	for i := 1; i < n; i++ {
		step = max(step, angles[i]-angles[i-1])
		if angles[i] > angles[i-1] {
			distinct++
		}
	}
	switch {
	case distinct < fewestAngles:
		return fail(TooFew, CentringCheck, "%d different angles; at least %d are needed, all round", distinct, fewestAngles)
	case step > widestStep:
		return fail(TooClose, CentringCheck, "%.0f deg of the turn without a reading; at most %d deg may be", step, widestStep)
	}
	return positive(CentringCheck, named{"a distance", k.Distance})
}

// wrap returns an angle in [0, 360).
func wrap(degrees float64) float64 {
	a := math.Mod(degrees, 360)
	if a < 0 {
		a += 360
	}
	return a
}

// whole rounds an angle in [0, 360) to a degree of it.
func whole(degrees float64) int { return int(math.Round(degrees)) % 360 }

// harmonic is a mean and a first harmonic with their standard uncertainties.
type harmonic struct {
	mean, a, b, amount       float64
	uMean, uAmount, residual float64
	uToward                  float64 // deg
}

// fit solves the normal equations; refuse has seen that they can be.
func (k Centring) fit() harmonic {
	n := len(k.Angle)
	x, y := mat.NewDense(n, 3, nil), mat.NewVecDense(n, k.Distance)
	for i, degrees := range k.Angle {
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		x.SetRow(i, []float64{1, cos, sin})
	}
	var normal, inverse mat.Dense
	normal.Mul(x.T(), x)
	if err := inverse.Inverse(&normal); err != nil {
		panic("calib: angles that are all round leave a singular system: " + err.Error())
	}
	var right, fit, residuals mat.VecDense
	right.MulVec(x.T(), y)
	fit.MulVec(&inverse, &right)
	residuals.MulVec(x, &fit)
	residuals.SubVec(y, &residuals)
	h := harmonic{mean: fit.AtVec(0), a: fit.AtVec(1), b: fit.AtVec(2)}
	h.residual = math.Sqrt(mat.Dot(&residuals, &residuals) / float64(n-3))
	h.amount = math.Hypot(h.a, h.b)
	u := combined(forTwo(h.residual, n-3), rectangular(k.DistanceLimits))
	h.uMean = u * math.Sqrt(inverse.At(0, 0))
	if h.amount > 0 {
		along, across := spread(&inverse, h.a/h.amount, h.b/h.amount), spread(&inverse, -h.b/h.amount, h.a/h.amount)
		h.uAmount, h.uToward = u*along, u*across/h.amount*180/math.Pi
	}
	return h
}

// spread is what a scatter of 1 makes of the harmonic in one direction.
func spread(inverse *mat.Dense, a, b float64) float64 {
	return math.Sqrt(a*a*inverse.At(1, 1) + 2*a*b*inverse.At(1, 2) + b*b*inverse.At(2, 2))
}
