package heat

import "math"

// Coverage returns the factor k for which an interval of k standard
// uncertainties holds the share p of a Student distribution, 0 < p < 1. The
// degrees of freedom are rounded down, as the GUM advises (annex G; memory); an
// infinite number of them is the normal distribution.
func Coverage(p, freedom float64) float64 {
	if math.IsInf(freedom, 1) {
		return math.Sqrt2 * math.Erfinv(p)
	}
	nu := max(1, math.Floor(freedom))
	low, high := 0.0, 1.0
	for centralShare(high, nu) < p {
		high *= 2
	}
	for range 80 {
		middle := (low + high) / 2
		if centralShare(middle, nu) < p {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// centralShare is the share of a Student distribution between -t and t, with x
// the angle for which tan(x) = t/sqrt(nu):
//
//	even nu:  sin(x)*( 1 + 1/2*cos(x)^2 + 1*3/(2*4)*cos(x)^4 + ... )
//	odd nu:   2/pi*( x + sin(x)*( cos(x) + 2/3*cos(x)^3 + 2*4/(3*5)*cos(x)^5 + ... ) )
//
// up to the power nu-2. Source: handbooks of mathematical functions. Standing:
// memory, checked against published quantiles. Beyond manyDegrees the normal
// distribution is as good.
func centralShare(t, nu float64) float64 {
	if nu > manyDegrees {
		return math.Erf(t / math.Sqrt2)
	}
	sin, cos := t/math.Sqrt(nu+t*t), math.Sqrt(nu/(nu+t*t))
	odd := math.Mod(nu, 2)
	term := 1.0
	if odd == 1 {
		term = cos
	}
	sum := 0.0
	for power := odd; power <= nu-2; power += 2 {
		sum += term
		term *= (power + 1) / (power + 2) * cos * cos
	}
	if odd == 1 {
		return 2 / math.Pi * (math.Asin(sin) + sin*sum)
	}
	return sin * sum
}

// manyDegrees of freedom make a Student distribution normal to 1e-4 in k.
const manyDegrees = 20000

// normalBelow is the share of a standard normal distribution below x.
func normalBelow(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }
