package finding

import (
	"fmt"

	"arctally/acquire/quantity"
)

// look says, rule by rule, what was judged and what a technician looks at.
// Common practice, no source.
var look = map[Rule]struct{ what, below, above string }{
	Voltage:      {"voltage", "look at the set voltage, the leads and clamps, and whether the wire was stubbing", "look at the set voltage, the gas and the wire feed"},
	Current:      {"current", "look at the wire feed, the contact tip and the distance from tip to wall", "look at the wire feed and the distance from tip to wall"},
	WireSpeed:    {"wire speed", "look for slip: drive rolls, liner, contact tip", "look at the set wire speed"},
	TravelSpeed:  {"travel speed", "look at the rotation and the diameter that was welded", "look at the rotation and the diameter that was welded"},
	GasFlow:      {"gas flow", "look for porosity; check hose, nozzle and bottle", "look for porosity; check the regulator"},
	Interpass:    {"temperature at the start of the pass", "preheat before going on", "let it cool before the next pass"},
	ArcOut:       {"arc out", "", "look for a hole in the bead and a cold restart"},
	ArcInGap:     {"arc in a planned gap", "", "look whether metal lies where none should be"},
	ArcOnRatio:   {"arc-on ratio", "look where the arc was out, and whether enough metal is there to clean up", ""},
	Interrupted:  {"pass stopped short", "look for a crater crack, and whether the bead was gone on with", ""},
	ArcOnReturn:  {"arc on the way back", "", "look for a bead too many, and at the step from stroke to stroke"},
	LeftOut:      {"bead left out", "", "look for a hole in the layer"},
	WeldedOver:   {"welded over", "", "look for a high spot, and a cold restart below it"},
	StrokeCount:  {"strokes", "look for a groove without metal", "look for a high spot, or metal beyond the end of the bore"},
	Stubbing:     {"wire stubbing, shorts of more than 10 ms,", "", "look at the contact tip, the liner and the set voltage; look for unmelted wire and cold metal in the bead"},
	ShortRate:    {"rate of shorts", "look at the voltage, the wire feed and the distance from tip to wall: the arc has become long", "look at the voltage and the distance from tip to wall: the arc has become short; look for gas trouble"},
	GasSignature: {"95 % point of the voltage, with the rhythm of the shorts changed as without gas,", "", "look for porosity; check bottle, hose, nozzle and draught"},
	WireSlip:     {"share of the wire speed that the current does not melt", "", "look for slip: drive rolls, liner, contact tip; the fed wire may be less than the feeder says"},
	ContactDrift: {"average wire speed for an ampere, over passes,", "the current has risen for the same wire: look at the distance from tip to wall (shorter) and the wire speed", "the current has fallen for the same wire: look at contact tip wear, the distance from tip to wall (longer) and slip"},
	Instability:  {"average instability of the short-circuit cycles, over passes,", "the arc runs more regularly than the first good passes: look whether the settings were changed", "look at the contact tip, the liner, the gas and the work clamp"},
	BriefArcOuts: {"rate of short arc-outs", "", "look at the wire feed, the contact tip and the work clamp; look for pinholes"},
	HeatInput:    {"heat input", "look for lack of fusion; the qualified procedure rules", "the qualified procedure rules; have the wall judged by who is responsible for the welding"},
}

// Words print the numbers of a sentence for a reader.
type Words struct {
	Value func(rule Rule, si float64) string // a value of a rule, with its unit
	Depth func(quantity.Metres) string
}

// metric are the words of a record.
var metric = Words{Value: InTradeUnits, Depth: func(d quantity.Metres) string { return quantity.Text(d, "mm", 1) }}

// SentenceIn is the sentence in a reader's words. That of a rule with more numbers
// in it than a finding keeps stays as it was filed.
func (f *Finding) SentenceIn(w Words) string {
	if _, composed := look[f.Rule]; !composed {
		return f.Sentence
	}
	return f.compose(w)
}

// compose says what happened, where, how far out, and what to look at.
func (f *Finding) compose(w Words) string {
	l := look[f.Rule]
	advice, side := l.above, "above"
	if f.Worst < f.Limit {
		advice, side = l.below, "below"
	}
	text := fmt.Sprintf("%s %s, %s the limit of %s", l.what, w.Value(f.Rule, f.Worst), side, w.Value(f.Rule, f.Limit))
	if f.By != "" {
		return text + ", typed in by " + f.By + "; " + advice
	}
	switch f.Rule {
	case ArcOut:
		text = fmt.Sprintf("arc out for %.1f s where the plan has it burning", f.Worst)
	case ArcInGap:
		text = fmt.Sprintf("arc on for %.1f s in a planned gap", f.Worst)
	case Interrupted:
		text = fmt.Sprintf("pass stopped after %.2f of %.2f turns", f.Worst, f.Limit)
	case ArcOnReturn:
		text = fmt.Sprintf("arc on for %.1f s on the way back, which the plan has cold", f.Worst)
	case LeftOut:
		text = fmt.Sprintf("pass gone on with %.0f deg further than the one before it stopped", f.Worst)
	case WeldedOver:
		text = fmt.Sprintf("pass begun %.0f deg before the one before it stopped", f.Worst)
	case StrokeCount:
		text = strokes(f.Worst)
	case Voltage, Current, WireSpeed, TravelSpeed, GasFlow, Stubbing, ShortRate, GasSignature, WireSlip:
		text += fmt.Sprintf(" for %.1f s", float64(f.Duration))
	}
	if f.Place != nil {
		text += fmt.Sprintf(", from %.0f deg at %s depth", float64(f.Place.Angle), w.Depth(f.Place.Depth))
	}
	return text + "; " + advice
}

// strokes says how many strokes there are against the plan.
func strokes(more float64) string {
	if more > 0 {
		return "one stroke more than the segment has in the plan"
	}
	return fmt.Sprintf("the layer before had %.0f strokes fewer than in the plan", -more)
}

// InTradeUnits prints a value of a rule as the trade speaks of it, in metric units.
func InTradeUnits(rule Rule, value float64) string {
	switch rule {
	case Voltage:
		return quantity.Text(quantity.Volts(value), "V", 1)
	case Current:
		return quantity.Text(quantity.Amperes(value), "A", 0)
	case WireSpeed:
		return quantity.Text(quantity.MetresPerSecond(value), "m/min", 2)
	case TravelSpeed:
		return quantity.Text(quantity.MetresPerSecond(value), "mm/min", 0)
	case GasFlow:
		return quantity.Text(quantity.CubicMetresPerSecond(value), "L/min", 1)
	case Interpass:
		return quantity.Text(quantity.Celsius(value), "degC", 0)
	case Stubbing, ShortRate:
		return fmt.Sprintf("%.0f /s", value)
	case GasSignature:
		return quantity.Text(quantity.Volts(value), "V", 1)
	case ContactDrift:
		return fmt.Sprintf("%.2f mm/min per A", value*60e3)
	case BriefArcOuts:
		return fmt.Sprintf("%.1f a minute", value*60)
	case HeatInput:
		return quantity.Text(quantity.JoulesPerMetre(value), "kJ/mm", 3)
	default:
		return fmt.Sprintf("%.2f", value)
	}
}
