package paper

import (
	"fmt"

	"arctally/analyze/heat"
	"arctally/report/sheet"
)

func (r *record) methods() *section {
	return &section{Heading: "Methods and definitions", blocks: []block{bullets{"methods", r.methodLines()}}}
}

// methodLines state how the numbers were made, each with its source and how far the
// source was read. Nothing here claims conformity.
func (r *record) methodLines() []string {
	return []string{
		"Pass: one bead laid without repositioning. The arc is on from the first sample with both voltage and current in arc for as long as current flows; " +
			"a short circuit is arc on. An arc-out shorter than the hold time does not end the arc, but it is not arc time. A planned gap never ends a pass.",
		"Energy W: the trapezoid of voltage times current over every step whose two ends are in arc. Arc time is the sum of those steps. Nothing is filled in or resampled. Means are over arc time.",
		"Arc-on ratio: arc time over elapsed time of the pass, held against the ratio that the pattern plans. It is not the duty cycle of a power source.",
		"Travel s: net path length of the bead on the diameter being welded, which falls with each layer. Dwell at the ends counts in the energy and not in the length.",
		"Arc energy: E = W/s. The American codes call this heat input and use no efficiency (after a trade journal's article on QW-409.1; the code itself was not read).",
		r.efficiency(),
		"Uncertainty: combined after the guide to the expression of uncertainty (GUM) from calibration, resolution and drift of voltage and current, " +
			"from travel, the diameter and the layers below, the kind of power and missing data, " +
			"from skew, filters, leads and clock; k is taken as exact. " +
			"Where no calibration is on record, the uncertainty of a field instrument stands in. U is expanded with the coverage factor 2, about 95 %.",
		"Skew, filters, leads, clock: what the box or the job says of the way from the arc to the samples. What is said of skew and leads is not taken off, and counts in full. " +
			"Where nothing is said a worst case stands in, and the pass is not proved.",
		"Set-up checks: the line of a check against a meter is the least squares fit of references on readings; its standard uncertainty is that of a corrected value, " +
			"enlarged where the points are few; two points correct, and tell no uncertainty. A check corrects what is recorded after it and never a sample before it.",
		"Decision rule: guard-banded comparison with four answers, as ILAC-G8:09/2019 section 4.2 describes (read). " + r.judgeRule(),
		"Places: angle in degrees from the reference mark, clockwise seen from the torch side; depth from the entry face.",
	}
}

// efficiency says with which k the heat input is made, and where that is from.
func (r *record) efficiency() string {
	process := sheet.OrDash(r.Job.Procedure.Process)
	text := "Heat input: Q = k*E, the definition of EN 1011-1"
	if k, ok := heat.ThermalEfficiency(r.Job.Procedure.Process); ok {
		text += fmt.Sprintf(", with k = %.1f for %s", float64(k), process)
	} else {
		text += fmt.Sprintf("; no k is listed for the process %s", process)
	}
	text += ". The k factors come from a secondary source: the standard itself was not read, and this is no claim of conformity with it."
	if r.JudgesArcEnergy() {
		text += " This procedure's limits are about E."
	} else {
		text += " This procedure's limits are about Q."
	}
	return text
}
