package finding

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
	"arctally/analyze/waveform"
)

// Rule names what was broken; the words stand in records and reports.
type Rule string

// The rules; their rows say the rest.
const (
	ArcOut       Rule = "arc_out"
	ArcInGap     Rule = "arc_in_gap"
	BriefArcOuts Rule = "brief_arc_outs"
	Voltage      Rule = "voltage"
	Current      Rule = "current"
	TravelSpeed  Rule = "travel_speed"
	WireSpeed    Rule = "wire_speed"
	GasFlow      Rule = "gas_flow"
	Interpass    Rule = "interpass"
	ArcOnRatio   Rule = "arc_on_ratio"
	ArcOnReturn  Rule = "arc_on_return"
	Interrupted  Rule = "interrupted"
	HeatInput    Rule = "heat_input"
	LeftOut      Rule = "left_out"
	WeldedOver   Rule = "welded_over"
	StrokeCount  Rule = "stroke_count"
	Stubbing     Rule = "stubbing"
	WireSlip     Rule = "wire_slip"
	GasSignature Rule = "gas_signature"
	ShortRate    Rule = "short_rate"
	ContactDrift Rule = "contact_drift"
	Instability  Rule = "instability"
	TransferMode Rule = "transfer_mode"
	ArcUnrest    Rule = "arc_unrest"
	PulseRate    Rule = "pulse_rate"
	VoltageRisen Rule = "voltage_risen"

	CurrentFall    Rule = "current_fall"
	WireWithoutArc Rule = "wire_without_arc"
	VoltageOnly    Rule = "voltage_without_current"
	CurrentOnly    Rule = "current_without_voltage"
	WallPatch      Rule = "wall_patch"
	OffCentre      Rule = "off_centre"
	OvalBore       Rule = "oval_bore"
)

// table is everything that is said about the rules, a row each. Rules that one
// judge judges are judged, and their findings numbered, in the order of the rows. Where to look,
// and what is likeliest the cause, is common practice, without a source; so are
// the limits that are ours.
//
// Counts are stated a second or a minute, "/s" and "/min", and never in Hz: the SI keeps the
// hertz for what is periodic (SI brochure, 9th edition, table 4; standing: memory), and shorts
// and arc-outs come when they come.
var table = []row{
	{
		rule: ArcOut, what: "arc out", unit: in[quantity.Seconds]("s", 2), wall: true,
		limit: func(j *procedure.Job) limits { return atMost(j.Procedure.Judge.Hold) },
		says:  worst("arc out for %.1f s where the plan has it burning"),
		going: "arc out where the plan has it burning",
		above: "look for a hole in the bead and a cold restart",
		cause: workCircuit,
	},
	{
		rule: WireWithoutArc, what: "wire without arc", unit: in[quantity.Seconds]("s", 1), limit: fixed(aMoment),
		says:  worst("wire fed for %.1f s while nothing burned"),
		going: "the wire feeds and nothing burns: no voltage, no current",
		above: "look for loose wire in the bore, and at source, torch switch and work clamp",
		cause: workCircuit,
	},
	{
		rule: VoltageOnly, what: "voltage without current", unit: in[quantity.Seconds]("s", 1), limit: fixed(aMoment),
		says:  worst("wire fed for %.1f s at a voltage without current"),
		going: "voltage but no current, and the wire feeds: either no arc burns, or the current is not measured",
		above: "look at the work clamp and for paint or slag where the wire touches; if an arc burned, look at the current sensor",
		cause: workCircuit,
	},
	{
		rule: CurrentOnly, what: "current without voltage", unit: in[quantity.Seconds]("s", 1), limit: fixed(aMoment),
		says:  worst("current flowed for %.1f s without voltage"),
		going: "current but no voltage: either the wire is frozen to the wall, or the voltage is not measured",
		above: "if the wire froze, look for unmelted wire in the bead; if an arc burned, look at the leads of the voltage: energy and heat input are too low by what is missing",
		cause: "wire frozen, or lead of the voltage off",
	},
	{
		rule: ArcInGap, what: "arc in a planned gap", unit: in[quantity.Seconds]("s", 2),
		limit: func(j *procedure.Job) limits { return atMost(j.Procedure.Judge.Dwell) },
		says:  worst("arc on for %.1f s in a planned gap"),
		going: "arc burning where the plan has none",
		above: "look whether metal lies where none should be",
		cause: "gap at another angle than planned",
	},
	{
		rule: BriefArcOuts, what: "rate of short arc-outs", unit: scaled(60, "/min", 1),
		limit: fixed(3.0 / 60), whole: briefArcOuts,
		above: "look at the wire feed, the contact tip and the work clamp; look for pinholes",
		cause: "contact tip or wire feed",
	},
	{
		rule: Voltage, what: "voltage", unit: in[quantity.Volts]("V", 1), mean: voltage, lasts: true, wall: true,
		limit: func(j *procedure.Job) limits { return plain(j.Procedure.Limits.Voltage) },
		below: "look at the set voltage, the leads and clamps, and whether the wire was stubbing",
		above: "look at the set voltage, the gas and the wire feed",
		cause: "set voltage",
	},
	{
		rule: Current, what: "current", unit: in[quantity.Amperes]("A", 0), mean: current, lasts: true, wall: true,
		limit: func(j *procedure.Job) limits { return plain(j.Procedure.Limits.Current) },
		below: "look at the wire feed, the contact tip and the distance from tip to wall",
		above: "look at the wire feed and the distance from tip to wall",
		cause: "distance from tip to wall",
	},
	{
		rule: TravelSpeed, what: "travel speed", mean: travel, whole: unmeasuredTravel, lasts: true,
		unit:  in[quantity.MetresPerSecond]("mm/min", 0),
		us:    in[quantity.MetresPerSecond]("in/min", 2),
		limit: func(j *procedure.Job) limits { return plain(j.Procedure.Limits.TravelSpeed) },
		below: "look at the rotation and the diameter that was welded",
		above: "look at the rotation and the diameter that was welded",
		cause: "speed of the rotation",
	},
	{
		rule: WireSpeed, what: "wire speed", mean: wireFeed, lasts: true,
		unit:  in[quantity.MetresPerSecond]("m/min", 2),
		us:    in[quantity.MetresPerSecond]("in/min", 0),
		limit: func(j *procedure.Job) limits { return plain(j.Procedure.Limits.WireSpeed) },
		below: "look for slip: drive rolls, liner, contact tip",
		above: "look at the set wire speed",
		cause: "slip of the wire",
	},
	{
		rule: GasFlow, what: "gas flow", mean: gas, lasts: true,
		unit:  in[quantity.CubicMetresPerSecond]("L/min", 1),
		us:    in[quantity.CubicMetresPerSecond]("ft3/h", 1),
		limit: func(j *procedure.Job) limits { return plain(j.Procedure.Limits.GasFlow) },
		below: "look for porosity; check hose, nozzle and bottle",
		above: "look for porosity; check the regulator",
		cause: lossOfGas,
	},
	{
		rule: Interpass, what: "temperature at the start of the pass",
		unit:  in[quantity.Celsius]("degC", 0),
		us:    in[quantity.Celsius]("degF", 0),
		limit: func(j *procedure.Job) limits { return plain(j.Procedure.Limits.Interpass) },
		below: "preheat before going on",
		above: "let it cool before the next pass",
		cause: "time between the passes",
	},
	{
		rule: ArcOnRatio, what: "arc-on ratio", unit: pure(3), whole: arcOnRatio,
		below: "look where the arc was out, and whether enough metal is there to clean up",
		cause: "arc-outs",
	},
	{
		rule: ArcOnReturn, what: "arc on the way back", unit: in[quantity.Seconds]("s", 2), whole: arcOnReturn,
		says:  worst("arc on for %.1f s on the way back, which the plan has cold"),
		above: "look for a bead too many, and at the step from stroke to stroke",
		cause: "arc not switched off",
	},
	{
		rule: Interrupted, what: "pass stopped short", unit: scaled(1, "turns", 2), whole: interrupted,
		says:  func(f *Finding) string { return fmt.Sprintf("pass stopped after %.2f of %.2f turns", f.Worst, f.Limit) },
		below: "look for a crater crack, and whether the bead was gone on with",
		cause: "stopped by hand",
	},
	{
		rule: HeatInput, what: "heat input", whole: heatInput,
		unit:  in[quantity.JoulesPerMetre]("kJ/mm", 3),
		us:    in[quantity.JoulesPerMetre]("kJ/in", 2),
		limit: func(j *procedure.Job) limits { return plain(j.Procedure.Limits.HeatInput) },
		below: "look for lack of fusion; the qualified procedure rules",
		above: "the qualified procedure rules; have the wall judged by who is responsible for the welding",
		cause: "settings for another procedure",
	},
	{
		rule: LeftOut, what: "bead left out", unit: in[quantity.Degrees]("deg", 0), limit: fixed(pass.Restart),
		says:  worst("pass gone on with %.0f deg further than the one before it stopped"),
		above: "look for a hole in the layer",
		cause: "place of the restart",
	},
	{
		rule: WeldedOver, what: "welded over", unit: in[quantity.Degrees]("deg", 0), limit: fixed(pass.Restart),
		says:  worst("pass begun %.0f deg before the one before it stopped"),
		above: "look for a high spot, and a cold restart below it",
		cause: "place of the restart",
	},
	{
		rule: StrokeCount, what: "strokes", unit: pure(0), says: strokes,
		below: "look for a groove without metal",
		above: "look for a high spot, or metal beyond the end of the bore",
		cause: "stroke missed or laid twice",
	},
	{
		rule: Stubbing, what: "wire stubbing, shorts far longer than those of this arc,", unit: in[quantity.Hertz]("/s", 1), lasts: true,
		limit: fixed(2), look: &lookRule{of: stubs, mode: waveform.Dip},
		above: "look at the contact tip, the liner and the set voltage; look for unmelted wire and cold metal in the bead",
		cause: "contact tip or set voltage",
	},
	{
		rule: WireSlip, what: "share of the wire speed that the current does not melt", unit: pure(3), lasts: true,
		limit: fixed(0.15), look: &lookRule{of: slip, againstGood: true},
		above: "look for slip: drive rolls, liner, contact tip; the fed wire may be less than the feeder says",
		cause: "slip of the wire",
	},
	{
		rule: GasSignature, what: "95 % point of the voltage, with the rhythm of the shorts changed as without gas,",
		unit: in[quantity.Volts]("V", 1), lasts: true,
		above: "look for porosity; check bottle, hose, nozzle and draught",
		cause: lossOfGas,
	},
	{
		rule: ShortRate, what: "rate of shorts", unit: in[quantity.Hertz]("/s", 1), lasts: true, vague: true,
		below: "look at the voltage, the wire feed and the distance from tip to wall: the arc has become long",
		above: "look at the voltage and the distance from tip to wall: the arc has become short; look for gas trouble",
		cause: "length of the arc",
	},
	{
		rule: CurrentFall, what: "fall of the current within the pass, at a steady voltage and wire speed,", unit: in[quantity.Ratio]("%", 1),
		limit: fixed(0.04),
		above: "look at the contact tip, its nut and the clamps, and whether the wire comes further out of the tip",
		cause: "contact tip wear",
	},
	{
		rule: TransferMode, what: "transfer", unit: pure(0), says: otherMode,
		below: "look at the program and the settings of the source: voltage, wire speed, gas; look whether the weld is that of the procedure",
		above: "look at the program and the settings of the source: voltage, wire speed, gas; look whether the weld is that of the procedure",
		cause: "settings for another procedure",
	},
	{
		rule: ArcUnrest, what: "unrest of the voltage", unit: in[quantity.Ratio]("%", 1), lasts: true,
		above: "the arc wavers as it does without its gas: look for porosity; check bottle, hose, nozzle and draught, contact tip and work clamp",
		cause: lossOfGas,
	},
	{
		rule: PulseRate, what: "rate of pulses", unit: in[quantity.Hertz]("Hz", 1), lasts: true, vague: true,
		below: "look at the wire feed, the distance from tip to wall and the program of the source",
		above: "look at the wire feed, the distance from tip to wall and the program of the source",
		cause: "length of the arc",
	},
	{
		rule: VoltageRisen, what: "95 % point of the voltage", unit: in[quantity.Volts]("V", 1), lasts: true, vague: true,
		above: "it stands above that of the good passes: the arc has become long, or burns without its gas; look at the distance from tip to wall, the wire feed and the gas",
		cause: "length of the arc",
	},
	{
		rule: ContactDrift, what: "average wire speed for an ampere, over passes,", unit: scaled(60e3, "mm/min/A", 2), us: scaled(60e3/25.4, "in/min/A", 3),
		chart: &chartRule{of: slope, name: "Wire speed for an ampere", least: 0.01, adds: distance},
		below: "the current has risen for the same wire: look at the distance from tip to wall (shorter) and the wire speed",
		above: "the current has fallen for the same wire: look at contact tip wear, the distance from tip to wall (longer) and slip",
		cause: "contact tip wear",
	},
	{
		rule: Instability, what: "average instability of the short-circuit cycles, over passes,", unit: pure(3),
		chart: &chartRule{of: instability, name: "Instability", least: 0.1},
		below: "the arc runs more regularly than the first good passes: look whether the settings were changed",
		above: "look at the contact tip, the liner, the gas and the work clamp",
		cause: "contact tip or liner",
	},
	{rule: WallPatch, unit: scaled(1, "turns", 0), limit: fixed(3), cause: "flaw of the wall"},
	{rule: OffCentre, unit: in[quantity.Ratio]("%", 2), cause: "torch off the centre"},
	{rule: OvalBore, unit: in[quantity.Ratio]("%", 2), cause: "oval bore"},
}

// lossOfGas is told by the flow as well as by the waveform, where one finding is
// enough.
const lossOfGas = "loss of gas"

// workCircuit keeps an arc from burning, whatever shows it.
const workCircuit = "wire feed or work clamp"

// worst says the worst value in the words of a format.
func worst(format string) func(*Finding) string {
	return func(f *Finding) string { return fmt.Sprintf(format, f.Worst) }
}

// strokes says how many strokes there are against the plan.
func strokes(f *Finding) string {
	if f.Worst > 0 {
		return "one stroke more than the segment has in the plan"
	}
	return fmt.Sprintf("the layer before had %.0f strokes fewer than in the plan", -f.Worst)
}

// CauseOf is what most likely breaks a rule; empty where nobody knows the rule.
func CauseOf(rule Rule) string {
	if r := rowOf(rule); r != nil {
		return r.cause
	}
	return ""
}

// HasSides reports whether a rule can be broken from below and from above.
func HasSides(rule Rule) bool {
	r := rowOf(rule)
	return r != nil && r.below != "" && r.above != "" && r.says == nil
}

// rowOf returns the row of a rule, nil where there is none.
func rowOf(rule Rule) *row {
	for k := range table {
		if table[k].rule == rule {
			return &table[k]
		}
	}
	return nil
}
