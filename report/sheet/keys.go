package sheet

import "strings"

// keyWords are the words for the keys of rules, warnings, reasons of a proof and events of a source
// that do not say it themselves. Keys stand in records and in JSON; a person never reads one. A key
// that is not here reads as it is written, with blanks.
var keyWords = map[string]string{
	// Rules of findings.
	"arc_in_gap": "arc in a planned gap", "brief_arc_outs": "short arc-outs", "interpass": "interpass temperature", "arc_on_ratio": "arc-on ratio",
	"arc_on_return": "arc on the way back", "interrupted": "pass stopped short", "left_out": "bead left out", "stroke_count": "number of strokes",
	"stubbing": "wire stubbing", "gas_signature": "arc as without gas", "short_rate": "rate of shorts", "contact_drift": "drift of the contact tip",
	"instability": "instability of the arc", "transfer_mode": "metal transfer", "arc_unrest": "unrest of the arc", "pulse_rate": "rate of pulses",
	"voltage_risen": "voltage has risen", "current_fall": "fall of the current", "wall_patch": "flaw of the wall", "off_centre": "torch off centre",

	// Warnings of a record and of a plan.
	"assumed": "not said, assumed", "box": "sensor box", "serial": "serial number", "silent": "nothing heard", "failed": "line not readable",
	"arc-told": "arc told by another box", "offset": "clock against the host", "clock-back": "clock set back", "clock-rate": "rate of a clock",
	"counts-anew": "count of turns began anew", "dead-counter": "turn counter stands still", "few-counts": "too few turn counts", "late-turn": "late turn counts",
	"derived-travel": "travel from a rhythm", "declared-travel": "travel not measured", "rotation": "rotation off the declared", "no-rhythm": "rotation not seen",
	"averaged-power": "power from means", "no-verdict": "not judged", "no-travel": "travel not known", "no-check": "set-up check missing",
	"not-said": "worst case assumed", "unprotected": "unprotected link", "impossible": "impossible values", "held": "values held",
	"may-be-held": "values perhaps held", "program-error": "error of the program", "overdue": "calibration overdue", "gap": "data missing",
	"place": "angle not known", "waveform": "waveform not judged", "layer": "layer not finished", "diameter": "diameter not known",
	"carbon": "carbon equivalent", "setpoint": "set-point", "travel-clipped": "travel at its limit",
	"no-layer": "nothing to weld", "companion": "companion box", "steady-rotation": "one rotation for all layers",

	// Reasons of a proof.
	"no-window": "no window", "no-efficiency": "efficiency not known", "no-energy": "energy not known", "no-uncertainty": "uncertainty not known",
	"outside": "outside the window", "skew": "skew not known", "filters": "filters not known", "leads": "leads not known", "clock": "clock not known",
	"another-box": "calibrated for another box", "calibration-undated": "due date not held against a date", "calibration-later": "calibrated only later",
	"layer-thickness": "thickness of the layers assumed", "findings": "open findings",
}

// Spaced is a key, such as the name of a channel, a rule or a kind of warning, in the words of people.
func Spaced(key string) string {
	if words, ok := keyWords[key]; ok {
		return words
	}
	return strings.NewReplacer("_", " ", "-", " ").Replace(key)
}
