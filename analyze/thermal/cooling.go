package thermal

import (
	"math"

	"arctally/acquire/quantity"
)

// Regime names the way in which the heat leaves the weld.
type Regime string

// The regimes.
const (
	TwoD   Regime = "2-D" // a thin wall: along it only
	ThreeD Regime = "3-D" // a thick wall: along it and into it
)

// Shape holds the shape factors of a joint: what the wall around the weld takes
// away of the cooling time. Table D.1 of EN 1011-2 is quoted as:
//
//	run on a plate         F2 1.0           F3 1.0     secondary
//	between runs in a butt F2 0.9           F3 0.9     secondary
//	fillet, corner joint   F2 0.9 to 0.67   F3 0.67    secondary, F3 memory
//	fillet, T-joint        F2 0.45 to 0.67  F3 0.67    secondary, F3 memory
type Shape struct{ F2, F3 quantity.Ratio }

// RunOnPlate is the shape of a bead on a wall, as a bore is built up.
var RunOnPlate = Shape{1, 1}

// Weld is what the cooling time depends on.
type Weld struct {
	Wall      quantity.Celsius // before the bead
	HeatInput quantity.JoulesPerMetre
	Thickness quantity.Metres
	Shape     Shape
}

// Cooling is how a weld cools.
type Cooling struct {
	Time       quantity.Seconds // from 800 to 500 degC: that of the regime
	Regime     Regime
	Transition quantity.Metres  // thickness at which both regimes give the same time
	Thin       quantity.Seconds // t2
	Thick      quantity.Seconds // t3
}

const (
	coolingTime = "cooling time t8/5 by EN 1011-2"
	// The time ends at 500 degC, so that a wall at that temperature has none.
	lastWall quantity.Celsius = 500
	// absoluteZero is -273.15 degC, by definition of the scale.
	absoluteZero quantity.Celsius = -273.15
)

func (w Weld) check() error {
	if !(w.Wall >= absoluteZero && w.Wall < lastWall) {
		return &RangeError{coolingTime, "wall temperature", quantity.Text(w.Wall, "degC", -1), "below 500 degC"}
	}
	if err := above(coolingTime, "heat input", "kJ/mm", w.HeatInput); err != nil {
		return err
	}
	if err := above(coolingTime, "thickness", "mm", w.Thickness); err != nil {
		return err
	}
	if err := shapeFactor("shape factor F2", w.Shape.F2); err != nil {
		return err
	}
	return shapeFactor("shape factor F3", w.Shape.F3)
}

// shapeFactor lets through what is above 0 and at most 1: no joint keeps its heat
// longer than a run on a plate.
func shapeFactor(name string, f quantity.Ratio) error {
	if f > 0 && f <= 1 {
		return nil
	}
	return &RangeError{coolingTime, name, quantity.Text(f, "", -1), "above 0, at most 1"}
}

// CoolingTime returns how long a weld takes from 800 to 500 degC:
//
//	t3 = (6700-5*T0)*Q*(1/(500-T0) - 1/(800-T0))*F3
//	t2 = (4300-4.3*T0)*1e5*(Q/d)^2*(1/(500-T0)^2 - 1/(800-T0)^2)*F2
//	dt = sqrt((4300-4.3*T0)/(6700-5*T0)*1e5*Q*(1/(500-T0) + 1/(800-T0))*F2/F3)
//
// in s and mm, with the wall's temperature T0 in degC, the heat input Q in kJ/mm
// with k in it, and the thickness d in mm. A wall thinner than the transition
// thickness dt cools by t2, any other by t3.
//
// The published dt stands without F2/F3, for F2 = F3 = 1. With other factors it
// would not be where the two times meet, and the time would jump there; so dt is
// taken where t2 = t3 with the factors given, which for F2 = F3 is the published
// one. Standing of t2, t3 and dt: secondary; of F2/F3 in dt: follows from t2 = t3.
func CoolingTime(w Weld) (Cooling, error) {
	if err := w.check(); err != nil {
		return Cooling{}, err
	}
	t0, q, d := float64(w.Wall), quantity.In(w.HeatInput, "kJ/mm"), quantity.In(w.Thickness, "mm")
	f2, f3 := float64(w.Shape.F2), float64(w.Shape.F3)
	from500, from800 := 1/(500-t0), 1/(800-t0)
	thin, thick := 4300-4.3*t0, 6700-5*t0
	c := Cooling{
		Thick: quantity.Seconds(thick * q * (from500 - from800) * f3),
		Thin:  quantity.Seconds(thin * 1e5 * (q / d) * (q / d) * (from500*from500 - from800*from800) * f2),
	}
	transition := math.Sqrt(thin / thick * 1e5 * q * (from500 + from800) * f2 / f3)
	c.Transition = quantity.Of[quantity.Metres](transition, "mm")
	c.Time, c.Regime = c.Thick, ThreeD
	if d < transition {
		c.Time, c.Regime = c.Thin, TwoD
	}
	return c, nil
}
