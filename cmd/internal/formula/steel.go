package formula

import (
	"fmt"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/thermal"
)

// elements are what an analysis may list; those of the formulas come first.
var millElements = []string{"C", "Si", "Mn", "Cr", "Mo", "V", "Ni", "Cu", "B", "P", "S", "Al", "Nb", "Ti", "N"}

func carbonFormula() Formula {
	f := Formula{
		Name:    "carbon-equivalent",
		Example: "C=0.18 Mn=1.40 Si=0.35 Cr=0.10 Ni=0.10 Cu=0.15",
		formula: []string{
			"IIW = C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15", "D1.1 = IIW + Si/6",
			"CET = C + (Mn+Mo)/10 + (Cr+Cu)/20 + Ni/40", "Pcm = C + Si/30 + (Mn+Cu+Cr)/20 + Ni/60 + Mo/15 + V/10 + 5*B",
		},
		source:   "International Institute of Welding; AWS D1.1; EN 1011-2 annex C; as public text and program code give them",
		standing: "secondary",
		compute:  computeCarbon,
	}
	for _, element := range millElements {
		f.keys = append(f.keys, inputKey{name: element, optional: element != "C"})
	}
	f.keys = append(f.keys, inputKey{name: "hydrogen", optional: true})
	return f
}

func computeCarbon(in *input) (*Answer, error) {
	steel := thermal.Analysis{}
	for _, element := range millElements {
		if in.has(element) {
			steel[element] = readMassPercent(in, element)
		}
	}
	ce, err := steel.Equivalents()
	if err != nil {
		return nil, err
	}
	a := new(Answer)
	for _, one := range []struct {
		key, label string
		value      thermal.MassPercent
	}{{"iiw", "IIW", ce.IIW}, {"cet", "CET", ce.CET}, {"pcm", "Pcm", ce.Pcm}, {"d11", "D1.1", ce.D11}} {
		a.add(one.key, float64(one.value), one.label, fmt.Sprintf("%.5f %%", one.value))
	}
	if outside := steel.OutsideCET(); len(outside) > 0 {
		a.warnings = append(a.warnings, "CET was not made for a steel with "+strings.Join(outside, ", ")+" (range: memory)")
	}
	if !in.has("hydrogen") {
		return a, nil
	}
	index, err := thermal.HydrogenControlIndex(ce.Pcm, readQuantity[quantity.Hydrogen](in, "hydrogen"))
	if err != nil {
		return nil, err
	}
	a.add("hydrogen_control_index", index, "index of AWS D1.1", fmt.Sprintf("%.2f, 12*Pcm + log10(H) (memory)", index))
	return a, nil
}

func preheatFormula() Formula {
	return Formula{
		Name:     "preheat",
		keys:     []inputKey{{name: "cet"}, {name: "thickness"}, {name: "hydrogen"}, {name: "heat-input"}},
		Example:  "cet=0.35 thickness=30mm hydrogen=5ml/100g heat-input=1.0kJ/mm",
		formula:  []string{"Tp = 697*CET + 160*tanh(d/35) + 62*HD^0.35 + (53*CET-32)*Q - 328, Q with k in it"},
		source:   "EN 1011-2 method B, as public program code and a page on preheat give it; CET 0.2 to 0.5 %, d 10 to 90 mm, HD 1 to 20 ml/100g, Q 0.5 to 4 kJ/mm, yield strength at most 1000 MPa",
		standing: "secondary",
		compute:  computePreheat,
	}
}

func computePreheat(in *input) (*Answer, error) {
	steel := thermal.Steel{
		CET: thermal.MassPercent(readMassPercent(in, "cet")), Thickness: readPositive[quantity.Metres](in, "thickness"),
		Hydrogen: readQuantity[quantity.Hydrogen](in, "hydrogen"), HeatInput: readPositive[quantity.JoulesPerMetre](in, "heat-input"),
	}
	warm, err := thermal.Preheat(steel)
	if err != nil {
		return nil, err
	}
	older, err := thermal.PreheatSEW088(steel)
	if err != nil {
		return nil, err
	}
	zone := thermal.PreheatZone(steel.Thickness)
	a := new(Answer)
	a.add("preheat_c", float64(warm), "preheat", preheatText(warm))
	a.add("preheat_sew088_c", float64(older), "by SEW 088", preheatText(older)+", the older form")
	if warm <= thermal.Shop {
		result, shop := quantity.TextAgainst(warm, thermal.Shop, "degC", 0)
		a.warnings = append(a.warnings, "no preheat by this formula: its result, "+result+", is not above a shop at "+shop)
	}
	a.add("preheat_zone_mm", quantity.In(zone, "mm"), "warm for", quantity.Text(zone, "mm", 0)+" ("+quantity.Text(zone, "in", 1)+") all round the weld (AWS D1.1)")
	return a, nil
}

// preheatText is a preheat, or that there is none.
func preheatText(warm quantity.Celsius) string {
	if warm <= thermal.Shop {
		return "none by this formula"
	}
	return bothDegrees(warm)
}

func coolingFormula() Formula {
	return Formula{
		Name: "cooling-time",
		keys: []inputKey{
			{name: "preheat"}, {name: "heat-input"}, {name: "thickness"}, {name: "shape-2d", optional: true}, {name: "shape-3d", optional: true},
		},
		Example: "preheat=100degC heat-input=1.0kJ/mm thickness=20mm shape-2d=1 shape-3d=1",
		formula: []string{
			"3-D: t3 = (6700-5*T0)*Q*(1/(500-T0) - 1/(800-T0))*F3, Q with k in it",
			"2-D: t2 = (4300-4.3*T0)*1e5*(Q/d)^2*(1/(500-T0)^2 - 1/(800-T0)^2)*F2",
			"a wall thinner than the transition thickness, where t2 = t3 with these factors, is 2-D",
		},
		source:   "EN 1011-2 annex D, as two German texts, a book on steel and public program code give it",
		standing: "secondary",
		compute:  computeCooling,
	}
}

func computeCooling(in *input) (*Answer, error) {
	weld := thermal.Weld{
		Wall: readQuantity[quantity.Celsius](in, "preheat"), HeatInput: readPositive[quantity.JoulesPerMetre](in, "heat-input"),
		Thickness: readPositive[quantity.Metres](in, "thickness"), Shape: thermal.RunOnPlate,
	}
	if in.has("shape-2d") {
		weld.Shape.F2 = readQuantity[quantity.Ratio](in, "shape-2d")
	}
	if in.has("shape-3d") {
		weld.Shape.F3 = readQuantity[quantity.Ratio](in, "shape-3d")
	}
	c, err := thermal.CoolingTime(weld)
	if err != nil {
		return nil, err
	}
	a := new(Answer)
	a.add("t85_s", float64(c.Time), "t8/5", coolingText(c.Time)+", "+string(c.Regime))
	a.add("regime", string(c.Regime), "", "")
	a.add("transition_thickness_mm", quantity.In(c.Transition, "mm"), "transition", bothUnits(c.Transition, "mm", "in", 4))
	a.add("t85_2d_s", float64(c.Thin), "2-D", coolingText(c.Thin))
	a.add("t85_3d_s", float64(c.Thick), "3-D", coolingText(c.Thick))
	if !in.has("shape-2d") || !in.has("shape-3d") {
		a.warnings = append(a.warnings, "a shape factor that is not given is 1, a run on a plate")
	}
	for _, caution := range []string{thermal.TooFast(c.Time, weld.Wall), thermal.TooSlow(c.Time, weld.Wall)} {
		if caution != "" {
			a.warnings = append(a.warnings, caution)
		}
	}
	return a, nil
}

// coolingText is a time in seconds, as weld people say it up to a minute.
func coolingText(t quantity.Seconds) string {
	if t >= 60 {
		return quantity.Lasting(t, 0)
	}
	return quantity.Significant(t, "s", 4)
}
