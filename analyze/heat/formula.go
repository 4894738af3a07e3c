package heat

import "arctally/acquire/quantity"

// thermalEfficiency is k of EN 1011-1 (ISO/TR 17671-1) by process. Source: TWI,
// FAQ on heat input and arc energy, and a steelmaker's page on heat input, which
// agree. Standing: secondary; the standard itself was not read. Other tables differ: the cooling-time annex of EN 1011-2 is quoted with
// 0.85 for MAG, and calorimetry of gas metal arcs gave 0.84.
var thermalEfficiency = map[string]quantity.Ratio{
	"SAW":        1.0,
	"MMA":        0.8,
	"MIG":        0.8,
	"MAG":        0.8,
	"cored wire": 0.8,
	"TIG":        0.6,
	"plasma":     0.6,
}

// ThermalEfficiency returns k, the share of the arc energy that EN 1011-1 counts
// as heat input, and whether the process is one it lists: SAW, MMA, MIG, MAG,
// cored wire, TIG, plasma.
func ThermalEfficiency(process string) (k quantity.Ratio, ok bool) {
	k, ok = thermalEfficiency[process]
	return k, ok
}

// ArcEnergy returns the arc energy per length from a mean power:
//
//	E = P/v
//
// with the mean power P in W and the travel speed v in m/s. The American codes
// call E the heat input, without any efficiency; of their methods this is the
// one by instantaneous power where P is MeanPower, and the one by volts and
// amperes where P is their product (QW-409.1 (c) and (a): read in Welding Journal
// 2010, not in the code). A torch that stands still has no finite energy per length.
func ArcEnergy(power quantity.Watts, travel quantity.MetresPerSecond) quantity.JoulesPerMetre {
	return quantity.JoulesPerMetre(float64(power) / float64(travel))
}

// ArcEnergyOverLength returns the arc energy per length of a finished bead:
//
//	E = W/L
//
// with the energy W in J and the net length L in m: the method of QW-409.1 (c)
// by instantaneous energy (read in Welding Journal 2010, not in the code). Over a whole
// bead it differs from ArcEnergy by the dwell at the ends.
func ArcEnergyOverLength(energy quantity.Joules, length quantity.Metres) quantity.JoulesPerMetre {
	return quantity.JoulesPerMetre(float64(energy) / float64(length))
}

// HeatInput returns the heat input as EN 1011-1 defines it:
//
//	Q = k*E
//
// with the thermal efficiency k and the arc energy per length E. Standing of the
// definition: secondary.
func HeatInput(k quantity.Ratio, arcEnergy quantity.JoulesPerMetre) quantity.JoulesPerMetre {
	return quantity.JoulesPerMetre(k) * arcEnergy
}
