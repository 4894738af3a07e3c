// Package finding knows what counts as a deviation from the plan, and where in
// the bore it is. A finding is open until a person records a disposition; the
// program flags, it never accepts.
//
// A channel deviates when its mean over the procedure's window has been out of
// its limits for longer than the dwell. Single samples of a dipping arc are
// never judged.
package finding

import (
	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/pass"
)

// Rule names what was broken; the words stand in records and reports.
type Rule string

// The rules.
const (
	Voltage     Rule = "voltage"      // windowed mean out of its limits, V
	Current     Rule = "current"      // windowed mean out of its limits, A
	WireSpeed   Rule = "wire_speed"   // windowed mean out of its limits, m/s
	TravelSpeed Rule = "travel_speed" // out of its limits, m/s
	GasFlow     Rule = "gas_flow"     // windowed mean out of its limits, m^3/s
	Interpass   Rule = "interpass"    // at the start of a pass, degC
	ArcOut      Rule = "arc_out"      // arc lost where the plan has it burning, s
	ArcInGap    Rule = "arc_in_gap"   // arc burning where the plan has none, s
	ArcOnRatio  Rule = "arc_on_ratio" // below the planned ratio, 1
	HeatInput   Rule = "heat_input"   // of a whole pass, J/m

	// Rules about the waveform, where the source samples fast enough; all but the
	// first and the last are held against the job's own good passes.
	Stubbing     Rule = "stubbing"       // shorts of more than 10 ms, 1/s
	ShortRate    Rule = "short_rate"     // shorts of more than 1 ms, 1/s
	GasSignature Rule = "gas_signature"  // 95 % point of the voltage of an arc that burns as without gas, V
	WireSlip     Rule = "wire_slip"      // share of the wire speed that the current does not account for, 1
	ContactDrift Rule = "contact_drift"  // wire speed for an ampere, charted over passes, m/(A*s)
	Instability  Rule = "instability"    // of the cycles, charted over passes, 1
	BriefArcOuts Rule = "brief_arc_outs" // arc-outs shorter than the hold time, 1/s
	Interrupted  Rule = "interrupted"    // stopped short of the plan and stayed out, turns
	ArcOnReturn  Rule = "arc_on_return"  // arc burning on the cold way back of a stroke, s
	LeftOut      Rule = "left_out"       // gone on with further on than it stopped, degrees
	WeldedOver   Rule = "welded_over"    // gone on with before where it stopped, degrees
	StrokeCount  Rule = "stroke_count"   // strokes laid more than planned, or fewer, 1
)

// Finding is one deviation.
type Finding struct {
	Number   int
	Rule     Rule
	Pass     int         // number of the pass
	Layer    int         // 0 is not known
	Place    *bore.Place // where it began; nil where the angle is not known
	Start    pass.Moment
	Duration quantity.Seconds
	Worst    float64 // worst value, SI unit of the rule
	Limit    float64 // the limit that it passed, same unit
	Beyond   float64 // Worst - Limit, signed
	Parts    []int   // numbers of the findings that this one is about
	PartOf   int     // number of the finding that sums this one up; 0 is none
	By       string  // who typed the value in; empty where it was measured
	Sentence string  // for a technician: what, where, how far, what to look at
}
