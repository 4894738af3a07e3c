package heat

import (
	"math"

	"arctally/acquire/quantity"
)

// Distribution is the shape of what is not known about a component.
type Distribution string

// The distributions. An exact component has no uncertainty by definition.
const (
	Normal      Distribution = "normal"
	Rectangular Distribution = "rectangular"
	Exact       Distribution = "exact"
)

// Basis tells what a standard uncertainty rests on.
type Basis string

// The bases of an uncertainty.
const (
	Measured Basis = "measured" // a calibration, or readings of this job
	Declared Basis = "declared" // what people or a device said of themselves
	StandIn  Basis = "stand-in" // nobody knows; a published or customary figure takes its place
)

// Component is one reason why a heat input is not known better.
type Component struct {
	Name string
	// Uncertainty is the standard uncertainty as a share of the heat input: every
	// component is a factor or a divisor, so that its sensitivity is 1.
	Uncertainty  float64
	Distribution Distribution
	// Freedom is the degrees of freedom of Uncertainty; 0 is not known, and
	// taken for many.
	Freedom float64
	Basis   Basis
	Source  string // where the figure comes from
	Unknown string // what nobody said, in a sentence, so that a stand-in takes its place
	// Elsewhere says whose the calibrations on record are, where they are of another box
	// and a stand-in takes their place.
	Elsewhere string
	Done      string // when the calibration it rests on was done, as written
	Due       string // when that is due again, as written
	Divisor   bool   // the heat input is divided by the quantity: travel
}

// Budget lists why a heat input is not known better; nil is no budget.
type Budget []Component

// Combined returns the combined standard uncertainty of independent factors and
// divisors, as a share of the result:
//
//	u = sqrt( sum( u_i^2 ) )
//
// Source: GUM, law of propagation for products and quotients. Standing: memory,
// checked against a worked example that was seen in a secondary source.
func (b Budget) Combined() float64 {
	sum := 0.0
	for _, c := range b {
		sum += c.Uncertainty * c.Uncertainty
	}
	return math.Sqrt(sum)
}

// Contribution returns the share of the combined variance that component k
// makes, 0 where there is none at all.
func (b Budget) Contribution(k int) float64 {
	u := b.Combined()
	if u == 0 {
		return 0
	}
	return b[k].Uncertainty * b[k].Uncertainty / (u * u)
}

// Greatest returns the component that contributes most, and how much; the name
// is empty where nothing contributes.
func (b Budget) Greatest() (c Component, share float64) {
	for k := range b {
		if s := b.Contribution(k); s > share {
			c, share = b[k], s
		}
	}
	return c, share
}

// Freedom returns the effective degrees of freedom after Welch and Satterthwaite:
//
//	nu = u^4 / sum( u_i^4/nu_i )
//
// infinite where no component has a known number of them. Source: GUM, annex G.
// Standing: memory, recomputed on a worked example.
func (b Budget) Freedom() float64 {
	sum := 0.0
	for _, c := range b {
		if c.Freedom > 0 {
			sum += math.Pow(c.Uncertainty, 4) / c.Freedom
		}
	}
	if sum == 0 {
		return math.Inf(1)
	}
	return math.Pow(b.Combined(), 4) / sum
}

// Without returns the budget without the components of a name.
func (b Budget) Without(name string) Budget {
	var rest Budget
	for _, c := range b {
		if c.Name != name {
			rest = append(rest, c)
		}
	}
	return rest
}

// CoverageFactor is k of an expanded uncertainty. It stays 2 whatever the
// degrees of freedom, as the procedure's guard band is a share of that U; Coverage
// tells the factor that few degrees of freedom would call for.
const CoverageFactor = 2

// Expanded returns the expanded uncertainty of a heat input or arc energy:
//
//	U = k*u*|Q|       k = 2
func (b Budget) Expanded(q quantity.JoulesPerMetre) quantity.JoulesPerMetre {
	return CoverageFactor * b.Standard(q)
}

// Standard returns the combined standard uncertainty of a heat input or arc energy.
func (b Budget) Standard(q quantity.JoulesPerMetre) quantity.JoulesPerMetre {
	return quantity.JoulesPerMetre(b.Combined() * math.Abs(float64(q)))
}

// rectangular is the standard uncertainty of limits +-a:
//
//	u = a/sqrt(3)
func rectangular(a float64) float64 { return a / math.Sqrt(3) }

// resolution is the standard uncertainty of a value that is read in steps:
//
//	u = step/sqrt(12)
func resolution(step float64) float64 { return rectangular(step / 2) }
