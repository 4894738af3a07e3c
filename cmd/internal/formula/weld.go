package formula

import (
	"fmt"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

func heatInputFormula() Formula {
	return Formula{
		Name:    "heat-input",
		keys:    []inputKey{{name: "voltage"}, {name: "current"}, {name: "travel"}, {name: "process"}},
		Example: "voltage=20V current=180A travel=300mm/min process=MAG",
		formula: []string{
			"E = U*I/v, the arc energy, which the American codes call heat input",
			"Q = k*E, the heat input of EN 1011-1; k SAW 1.0, MMA, MIG, MAG and cored wire 0.8, TIG and plasma 0.6",
			"on a pulsed or dipping arc U*I of a meter is not the mean power, and no correction is known",
		},
		source:   "EN 1011-1 (ISO/TR 17671-1), as a welding institute's FAQ and a steelmaker's page give it",
		standing: "secondary",
		compute:  computeHeatInput,
	}
}

// otherProcesses are the abbreviations of the American codes.
var otherProcesses = map[string]string{
	"gmaw": "MAG", "fcaw": "cored wire", "smaw": "MMA", "gtaw": "TIG", "paw": "plasma", "cored-wire": "cored wire",
}

func processOf(in *input) string {
	written := in.values["process"]
	for _, process := range procedure.Processes() {
		if strings.EqualFold(written, process) {
			return process
		}
	}
	process := otherProcesses[strings.ToLower(written)]
	if process == "" {
		in.fail(misuse("heat-input: process %q is not known; write %s", written, strings.Join(procedure.Processes(), ", ")))
	}
	return process
}

func computeHeatInput(in *input) (*Answer, error) {
	voltage, current := readPositive[quantity.Volts](in, "voltage"), readPositive[quantity.Amperes](in, "current")
	travel, process := readPositive[quantity.MetresPerSecond](in, "travel"), processOf(in)
	power := quantity.Watts(float64(voltage) * float64(current))
	k, _ := heat.ThermalEfficiency(process) // processOf knows only those that it lists
	energy := heat.ArcEnergy(power, travel)
	q := heat.HeatInput(k, energy)
	a := new(Answer)
	a.add("arc_energy_kj_per_mm", quantity.In(energy, "kJ/mm"), "arc energy E", bothUnits(energy, "kJ/mm", "kJ/in", 4))
	a.add("heat_input_kj_per_mm", quantity.In(q, "kJ/mm"), "heat input Q", bothUnits(q, "kJ/mm", "kJ/in", 4)+
		fmt.Sprintf(", k = %s for %s", quantity.Text(k, "", -1), process))
	return a, nil
}

func boreFormula() Formula {
	return Formula{
		Name:     "bore",
		keys:     []inputKey{{name: "diameter"}, {name: "speed"}, {name: "pitch"}, {name: "bead-area"}},
		Example:  "diameter=83mm speed=1.5rpm pitch=3mm bead-area=6.7151mm2",
		formula:  []string{"v = pi*D*n", "path per turn = sqrt((pi*D)^2 + p^2)", "layer t = D/2 - sqrt(D^2/4 - A*D/p)"},
		source:   "geometry and conservation of volume on a curved wall",
		standing: "constructed",
		compute:  computeBore,
	}
}

func computeBore(in *input) (*Answer, error) {
	diameter, speed := readPositive[quantity.Metres](in, "diameter"), readPositive[quantity.TurnsPerSecond](in, "speed")
	pitch, area := readPositive[quantity.Metres](in, "pitch"), readPositive[quantity.SquareMetres](in, "bead-area")
	if in.wrong != nil {
		return nil, in.wrong
	}
	thickness, err := bore.LayerThickness(diameter, area, pitch)
	if err != nil {
		return nil, err
	}
	travel, path := bore.SurfaceSpeed(diameter, speed), bore.HelixPathPerTurn(diameter, pitch)
	after := diameter - 2*thickness
	a := new(Answer)
	a.add("travel_mm_min", quantity.In(travel, "mm/min"), "travel", bothUnits(travel, "mm/min", "in/min", 5))
	a.add("path_per_turn_mm", quantity.In(path, "mm"), "path per turn", bothUnits(path, "mm", "in", 6))
	a.add("layer_thickness_mm", quantity.In(thickness, "mm"), "layer", bothUnits(thickness, "mm", "in", 4))
	a.add("diameter_after_mm", quantity.In(after, "mm"), "bore after", bothUnits(after, "mm", "in", 4))
	return a, nil
}
