package sheet

import (
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

// windowRow is the row of a window, before what was seen in it.
func windowRow[Q quantity.Quantity](name string, r quantity.Range[Q], unit string, decimals int) WindowRow {
	row := WindowRow{Quantity: name, Window: RangeText(r, unit, decimals)}
	row.Low, row.High = RangeEnds(r, unit)
	if !r.IsZero() {
		row.Unit = &unit
	}
	return row
}

func (row WindowRow) with(setTo, seen string, findings int) WindowRow {
	row.SetTo, row.Seen, row.Findings = setTo, seen, findings
	return row
}

func (s *Sheet) Window() []WindowRow {
	l, set, units := &s.Job.Procedure.Limits, &s.Job.Setpoints, s.Units.Set()
	heatName := "Heat input Q = k*E"
	if s.ArcEnergyRules() {
		heatName = "Arc energy E"
	}
	return []WindowRow{
		windowRow("Voltage", l.Voltage, "V", 1).with(declared(set.Voltage, "V", 1),
			s.seen("V", 2, func(p *Pass) *float64 { return Plain(p.VoltageMean) }), s.broken(finding.Voltage)),
		windowRow("Current", l.Current, "A", 0).with(declared(set.Current, "A", 0),
			s.seen("A", 1, func(p *Pass) *float64 { return Plain(p.CurrentMean) }), s.broken(finding.Current)),
		windowRow("Wire speed", l.WireSpeed, units.feed, units.feedDigits).with(declared(set.WireSpeed, units.feed, units.feedDigits),
			s.seen(units.feed, units.feedDigits, func(p *Pass) *float64 { return In(p.wireSpeed(), units.feed) }), s.broken(finding.WireSpeed)),
		windowRow("Travel speed", l.TravelSpeed, units.Travel, units.TravelDigits).with(declared(set.TravelSpeed, units.Travel, units.TravelDigits),
			s.seen(units.Travel, units.TravelDigits, func(p *Pass) *float64 { return In(p.TravelSpeed, units.Travel) }), s.broken(finding.TravelSpeed)),
		windowRow(heatName, l.HeatInput, units.Heat, units.HeatDigits).with(Dash, s.seen(units.Heat, units.HeatDigits, func(p *Pass) *float64 {
			value, _ := s.Judged(p)
			return In(value, units.Heat)
		}), s.broken(finding.HeatInput)),
		windowRow("Interpass temperature", l.Interpass, units.Temperature, 0).with(Dash, Dash, s.broken(finding.Interpass)),
		windowRow("Gas flow", l.GasFlow, units.Gas, 1).with(Dash, Dash, s.broken(finding.GasFlow)),
		{
			Quantity: "Arc on as planned", Window: s.arcOnWindow(), SetTo: Dash,
			Seen:     s.seen("", 3, func(p *Pass) *float64 { return p.KnownArcOn() }),
			Findings: s.broken(finding.ArcOnRatio) + s.broken(finding.ArcOut) + s.broken(finding.ArcInGap),
		},
	}
}

// wireSpeed is the mean over the arc time of a pass.
func (p *Pass) wireSpeed() *quantity.MetresPerSecond {
	if p.Wire == nil || p.ArcTime <= 0 {
		return nil
	}
	return new(quantity.MetresPerSecond(float64(*p.Wire) / float64(p.ArcTime)))
}

// seen is the range of a pass value over the job.
func (s *Sheet) seen(unit string, decimals int, value func(*Pass) *float64) string {
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
		return "not known"
	}
	text := Digits(low, decimals)
	if other := Digits(high, decimals); other != text {
		text += " to " + other
	}
	if unit == "" {
		return text
	}
	return text + " " + unit
}

func (s *Sheet) broken(rule finding.Rule) int {
	n := 0
	for i := range s.Findings {
		if s.Findings[i].Rule == rule {
			n++
		}
	}
	return n
}

func (s *Sheet) arcOnWindow() string {
	planned := newCounter()
	for i := range s.Passes {
		if v := s.Passes[i].KnownPlan(); v != nil {
			text := Digits(v, 3)
			planned.add(&text)
		}
	}
	if len(planned.words) == 0 {
		return "no ratio planned"
	}
	return "planned " + planned.String() + ", at most " + Digits(Plain(&s.Job.Procedure.Judge.ArcOnTolerance), 3) + " less"
}
