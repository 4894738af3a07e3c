package thermal

import (
	"math"

	"arctally/acquire/quantity"
)

// Steel is what preheat depends on.
type Steel struct {
	CET       MassPercent
	Thickness quantity.Metres
	Hydrogen  quantity.Hydrogen // diffusible, in the deposit
	HeatInput quantity.JoulesPerMetre
}

// Shop is the temperature of a wall that nobody warmed, 20 degC: our own figure.
// A preheat that is not above it is no preheat.
const Shop quantity.Celsius = 20

const methodB = "preheat by EN 1011-2 method B"

// The range of method B. Source: public program code and a page on preheat.
// Standing: secondary. It also ends at a yield strength of 1000 MPa, which
// nothing here knows.
const (
	leastCET, mostCET                                     = 0.2, 0.5
	leastHeat, mostHeat           quantity.JoulesPerMetre = 0.5e6, 4e6
	leastThickness, mostThickness quantity.Metres         = 0.010, 0.090
	leastHydrogen, mostHydrogen   quantity.Hydrogen       = 1, 20
)

// check returns a *RangeError for the first figure that method B was not made for.
func (s Steel) check() error {
	// The unit of CET is mass %, which a Ratio of the same figure prints well.
	checks := []error{
		domain[quantity.Ratio]{"CET", "", leastCET, mostCET}.check(methodB, quantity.Ratio(s.CET)),
		domain[quantity.Metres]{"thickness", "mm", leastThickness, mostThickness}.check(methodB, s.Thickness),
		domain[quantity.Hydrogen]{"hydrogen", "ml/100g", leastHydrogen, mostHydrogen}.check(methodB, s.Hydrogen),
		domain[quantity.JoulesPerMetre]{"heat input", "kJ/mm", leastHeat, mostHeat}.check(methodB, s.HeatInput),
	}
	for _, err := range checks {
		if err != nil {
			return err
		}
	}
	return nil
}

// AtLeastHeat returns the same steel at the lowest heat input that method B
// covers, where it is to be welded with less.
func (s Steel) AtLeastHeat() Steel {
	s.HeatInput = max(s.HeatInput, leastHeat)
	return s
}

// Preheat returns the temperature to which the wall is warmed before the arc:
//
//	Tp = 697*CET + 160*tanh(d/35) + 62*HD^0.35 + (53*CET-32)*Q - 328
//
// with the thickness d in mm, the hydrogen HD in ml/100 g and the heat input Q in
// kJ/mm, k included. A result below the temperature of the shop means that this
// formula asks for no preheat. Source: EN 1011-2 method B. Standing: secondary.
// Outside its range it is a *RangeError.
func Preheat(s Steel) (quantity.Celsius, error) { return s.preheat(697, -328) }

// PreheatSEW088 returns the preheat by the older form of the same formula, which
// has 700 and -330 for 697 and -328. Source: SEW 088, as a book on steel quotes
// it. Standing: secondary.
func PreheatSEW088(s Steel) (quantity.Celsius, error) { return s.preheat(700, -330) }

func (s Steel) preheat(perCET, offset float64) (quantity.Celsius, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	cet, heat := float64(s.CET), quantity.In(s.HeatInput, "kJ/mm")
	return quantity.Celsius(perCET*cet + 160*math.Tanh(quantity.In(s.Thickness, "mm")/35) +
		62*math.Pow(float64(s.Hydrogen), 0.35) + (53*cet-32)*heat + offset), nil
}

// PreheatZone returns how far from the weld the wall is to be warm, in every
// direction: the thickness, but at least 75 mm (3 in). Source: AWS D1.1.
// Standing: secondary.
func PreheatZone(thickness quantity.Metres) quantity.Metres { return max(thickness, 0.075) }

// HydrogenControlIndex returns what AWS D1.1 groups steels by for preheat:
//
//	index = 12*Pcm + log10(H)
//
// with the hydrogen H in ml/100 g. Standing: memory; it agrees with one published
// example. A hydrogen of nothing has no index.
func HydrogenControlIndex(pcm MassPercent, h quantity.Hydrogen) (float64, error) {
	if err := above("the index of AWS D1.1", "hydrogen", "ml/100g", h); err != nil {
		return 0, err
	}
	return 12*float64(pcm) + math.Log10(float64(h)), nil
}
