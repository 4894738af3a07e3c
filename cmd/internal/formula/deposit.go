package formula

import (
	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

func depositFormula() Formula {
	return Formula{
		Name: "deposit",
		keys: []inputKey{
			{"wire-diameter", true},
			{"wire-speed", true},
			{"travel", true},
			{"efficiency", true},
			{"mass", true},
			{"time", true},
			{"wire-mass", true},
			{"stub-mass", true},
		},
		ways: []string{
			"wire-diameter= wire-speed= travel= [efficiency=]", "mass= time=", "mass= wire-mass= [stub-mass=]",
		},
		Example: "wire-diameter=0.9mm wire-speed=6m/min travel=300mm/min efficiency=0.95",
		formula: []string{
			"wire m = rho*pi/4*d^2, rho = 7850 kg/m3", "deposit rate = eff*m*WFS", "bead area A = eff*(pi/4*d^2)*WFS/v",
			"weighed: rate = mass/time; eff = mass/(wire mass - stub mass), the mass laid over the wire used up",
		},
		source:   "geometry and conservation of mass, the density of steel is common practice; efficiency as a filler-metal handbook defines it",
		standing: "constructed",
		compute:  computeDeposit,
	}
}

// computeDeposit takes the way whose inputs are there: from the set-points, from what
// was weighed and timed, or from what was weighed of deposit and wire.
func computeDeposit(in *input) (*Answer, error) {
	switch {
	case in.only("wire-diameter", "wire-speed", "travel", "efficiency") && in.all("wire-diameter", "wire-speed", "travel"):
		return depositAsSet(in), nil
	case in.only("mass", "time", "wire-mass", "stub-mass") && in.all("mass") && (in.has("time") || in.has("wire-mass")) &&
		(in.has("wire-mass") || !in.has("stub-mass")):
		return depositAsWeighed(in), nil
	}
	return nil, misuse("deposit takes %s", depositFormula().keyList())
}

func depositAsSet(in *input) *Answer {
	d, feed := readPositive[quantity.Metres](in, "wire-diameter"), readPositive[quantity.MetresPerSecond](in, "wire-speed")
	travel, efficiency := readPositive[quantity.MetresPerSecond](in, "travel"), readShare(in, "efficiency", bore.DefaultEfficiency)
	mass, rate := bore.WireMassPerLength(d), bore.DepositionRate(d, feed, efficiency)
	area := bore.BeadArea(d, feed, travel, efficiency)
	a := new(Answer)
	a.add("g_per_m", quantity.In(mass, "g/m"), "wire", bothUnits(mass, "g/m", "lb/ft", 4))
	a.addRate(rate)
	a.add("bead_area_mm2", quantity.In(area, "mm2"), "bead area", bothUnits(area, "mm2", "in2", 4))
	if !in.has("efficiency") {
		a.warnings = append(a.warnings, "no efficiency given: "+quantity.Text(efficiency, "", -1)+" stands in, as in a job file (memory)")
	}
	return a
}

func (a *Answer) addRate(rate quantity.KilogramsPerSecond) {
	a.add("kg_per_h", quantity.In(rate, "kg/h"), "deposit", bothUnits(rate, "kg/h", "lb/h", 4))
}

// unusualEfficiency is below what trade tables give for any wire under gas, 92 to
// 99 %, and still what a bad day may give. Secondary.
const unusualEfficiency quantity.Ratio = 0.92

func depositAsWeighed(in *input) *Answer {
	mass := readPositive[quantity.Kilograms](in, "mass")
	a := new(Answer)
	if in.has("time") {
		a.addRate(bore.WeighedRate(mass, readPositive[quantity.Seconds](in, "time")))
	}
	if !in.has("wire-mass") {
		return a
	}
	wire, stub := readPositive[quantity.Kilograms](in, "wire-mass"), quantity.Kilograms(0)
	if in.has("stub-mass") {
		stub = readQuantity[quantity.Kilograms](in, "stub-mass")
	}
	efficiency, err := bore.WeighedEfficiency(mass, wire, stub)
	if err != nil {
		in.fail(err)
		return a
	}
	a.add("efficiency", float64(efficiency), "efficiency", quantity.Significant(efficiency, "%", 3))
	if efficiency < unusualEfficiency {
		a.warnings = append(a.warnings, "solid wire under gas gives 92 to 99 % (secondary): weigh again, and look for spatter, stubs and slag")
	}
	return a
}
