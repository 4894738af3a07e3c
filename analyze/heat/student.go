package heat

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Coverage returns the factor k for which an interval of k standard
// uncertainties holds the share p of a Student distribution, 0 < p < 1. The
// degrees of freedom are rounded down, and there is at least one, as the GUM
// advises (annex G; memory); an infinite number of them is the normal distribution.
func Coverage(p, freedom float64) float64 {
	if freedom > manyDegrees {
		return math.Sqrt2 * math.Erfinv(p)
	}
	return distuv.StudentsT{Sigma: 1, Nu: max(1, math.Floor(freedom))}.Quantile((1 + p) / 2)
}

// manyDegrees of freedom make a Student distribution normal to 3e-7 in k for a share
// of 95 %; the library loses digits from some ten times as many on.
const manyDegrees = 1e7
