package sheet

import (
	"slices"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/finding"
)

// WindowRow is one limit of the procedure beside what the passes came to, in words.
type WindowRow struct {
	Quantity string   `json:"quantity"`
	Window   string   `json:"window"`
	Low      *float64 `json:"low"` // in Unit; null where the window is open
	High     *float64 `json:"high"`
	Unit     *string  `json:"unit"` // null where nothing is limited
	SetTo    string   `json:"set_to"`
	Seen     string   `json:"passes"` // lowest to highest
	Findings int      `json:"findings"`
}

// windowRow is the row of a window, before what was set and seen.
func windowRow[Q quantity.Quantity](name string, r quantity.Range[Q], unit Unit) WindowRow {
	row := WindowRow{Quantity: name, Window: RangeText(r, unit), SetTo: Dash, Seen: Dash}
	row.Low, row.High = RangeEnds(r, unit.Name)
	if !r.IsZero() {
		row.Unit = &unit.Name
	}
	return row
}

// Window holds each limit of the procedure against what was set and what the passes
// came to.
func (s *Sheet) Window(u Units) []WindowRow {
	l, set, units := &s.Job.Procedure.Limits, &s.Job.Setpoints, u.Set()
	volts, amps := Unit{"V", 1}, Unit{"A", 0}
	return []WindowRow{
		seenIn(s, windowRow("Voltage", l.Voltage, volts), declared(set.Voltage, volts), volts.To(2),
			func(p *Pass) *float64 { return Plain(p.VoltageMean) }, finding.Voltage),
		seenIn(s, windowRow("Current", l.Current, amps), declared(set.Current, amps), amps.To(1),
			func(p *Pass) *float64 { return Plain(p.CurrentMean) }, finding.Current),
		seenIn(s, windowRow("Wire speed", l.WireSpeed, units.Feed), declared(set.WireSpeed, units.Feed), units.Feed,
			func(p *Pass) *float64 { return In(p.wireSpeed(), units.Feed.Name) }, finding.WireSpeed),
		seenIn(s, windowRow("Travel speed", l.TravelSpeed, units.Travel), declared(set.TravelSpeed, units.Travel), units.Travel,
			func(p *Pass) *float64 { return In(p.TravelSpeed, units.Travel.Name) }, finding.TravelSpeed),
		seenIn(s, windowRow(s.JudgedName(), l.HeatInput, units.Heat), Dash, units.Heat, func(p *Pass) *float64 {
			value, _ := s.Judged(p)
			return In(value, units.Heat.Name)
		}, finding.HeatInput),
		countIn(s.Findings, windowRow("Interpass temperature", l.Interpass, units.Temperature), finding.Interpass),
		countIn(s.Findings, windowRow("Gas flow", l.GasFlow, units.GasFlow), finding.GasFlow),
		seenIn(s, WindowRow{Quantity: "Arc on as planned", Window: arcOnWindow(s)}, Dash, Unit{"", 3}, (*Pass).KnownArcOn,
			finding.ArcOnRatio, finding.ArcOut, finding.ArcInGap),
	}
}

// wireSpeed is the mean over the arc time of a pass.
func (p *Pass) wireSpeed() *quantity.MetresPerSecond {
	if p.Wire == nil || p.ArcTime <= 0 {
		return nil
	}
	return new(quantity.MetresPerSecond(float64(*p.Wire) / float64(p.ArcTime)))
}

// seenIn fills in what was set, the range of a value over the passes, and the findings.
func seenIn(s *Sheet, row WindowRow, setTo string, unit Unit, value func(*Pass) *float64, rules ...finding.Rule) WindowRow {
	row = countIn(s.Findings, row, rules...)
	row.SetTo, row.Seen = setTo, "not known"
	var low, high *float64
	for i := range s.Passes {
		v := value(&s.Passes[i])
		if v == nil {
			continue
		}
		if low == nil || *v < *low {
			low = v
		}
		if high == nil || *v > *high {
			high = v
		}
	}
	if low == nil {
		return row
	}
	row.Seen = Digits(low, unit.Digits)
	if other := Digits(high, unit.Digits); other != row.Seen {
		row.Seen += " to " + other
	}
	row.Seen = strings.TrimSpace(row.Seen + " " + unit.Name)
	return row
}

// countIn counts the findings of some rules.
func countIn(findings []Finding, row WindowRow, rules ...finding.Rule) WindowRow {
	for i := range findings {
		if slices.Contains(rules, findings[i].Rule) {
			row.Findings++
		}
	}
	return row
}

// arcOnWindow is the ratio that the pattern plans, and what the procedure tolerates.
func arcOnWindow(s *Sheet) string {
	planned := newCounter()
	for i := range s.Passes {
		if v := s.Passes[i].KnownPlan(); v != nil {
			planned.add(new(Digits(v, 3)))
		}
	}
	if len(planned.words) == 0 {
		return "no ratio planned"
	}
	return "planned " + planned.String() + ", at most " + Digits(Plain(&s.Job.Procedure.Judge.ArcOnTolerance), 3) + " less"
}
