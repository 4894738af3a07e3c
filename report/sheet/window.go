package sheet

import (
	"fmt"
	"strconv"

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
	row := WindowRow{Quantity: name, Window: rangeText(r, unit, decimals)}
	row.Low, row.High = rangeEnds(r, unit)
	if !r.IsZero() {
		row.Unit = &unit
	}
	return row
}

func (row WindowRow) with(setTo, seen string, findings int) WindowRow {
	row.SetTo, row.Seen, row.Findings = setTo, seen, findings
	return row
}

func (s *Sheet) windowLines() []WindowRow {
	l, set, units := &s.job.Procedure.Limits, &s.job.Setpoints, s.units.set()
	heatName := "Heat input Q = k*E"
	if s.arcEnergyRules() {
		heatName = "Arc energy E"
	}
	return []WindowRow{
		windowRow("Voltage", l.Voltage, "V", 1).with(declared(set.Voltage, "V", 1),
			s.seen("V", 2, func(p *passEntry) *float64 { return plain(p.VoltageMean) }), s.broken(finding.Voltage)),
		windowRow("Current", l.Current, "A", 0).with(declared(set.Current, "A", 0),
			s.seen("A", 1, func(p *passEntry) *float64 { return plain(p.CurrentMean) }), s.broken(finding.Current)),
		windowRow("Wire speed", l.WireSpeed, units.feed, units.feedDigits).with(declared(set.WireSpeed, units.feed, units.feedDigits),
			s.seen(units.feed, units.feedDigits, func(p *passEntry) *float64 { return in(p.wireSpeed(), units.feed) }), s.broken(finding.WireSpeed)),
		windowRow("Travel speed", l.TravelSpeed, units.travel, units.travelDigits).with(declared(set.TravelSpeed, units.travel, units.travelDigits),
			s.seen(units.travel, units.travelDigits, func(p *passEntry) *float64 { return in(p.TravelSpeed, units.travel) }), s.broken(finding.TravelSpeed)),
		windowRow(heatName, l.HeatInput, units.heat, units.heatDigits).with(dash, s.seen(units.heat, units.heatDigits, func(p *passEntry) *float64 {
			value, _ := s.judged(p)
			return in(value, units.heat)
		}), s.broken(finding.HeatInput)),
		windowRow("Interpass temperature", l.Interpass, units.temperature, 0).with(dash, dash, s.broken(finding.Interpass)),
		windowRow("Gas flow", l.GasFlow, units.gas, 1).with(dash, dash, s.broken(finding.GasFlow)),
		{
			Quantity: "Arc on as planned", Window: s.arcOnWindow(), SetTo: dash,
			Seen:     s.seen("", 3, func(p *passEntry) *float64 { return p.arcOnRatio() }),
			Findings: s.broken(finding.ArcOnRatio) + s.broken(finding.ArcOut) + s.broken(finding.ArcInGap),
		},
	}
}

// wireSpeed is the mean over the arc time of a pass.
func (p *passEntry) wireSpeed() *quantity.MetresPerSecond {
	if p.Wire == nil || p.ArcTime <= 0 {
		return nil
	}
	return new(quantity.MetresPerSecond(float64(*p.Wire) / float64(p.ArcTime)))
}

// seen is the range of a pass value over the job.
func (s *Sheet) seen(unit string, decimals int, value func(*passEntry) *float64) string {
	var low, high *float64
	for i := range s.passes {
		v := value(&s.passes[i])
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
	text := digits(low, decimals)
	if other := digits(high, decimals); other != text {
		text += " to " + other
	}
	if unit == "" {
		return text
	}
	return text + " " + unit
}

func (s *Sheet) broken(rule finding.Rule) int {
	n := 0
	for i := range s.findings {
		if s.findings[i].Rule == rule {
			n++
		}
	}
	return n
}

func (s *Sheet) arcOnWindow() string {
	planned := newCounter()
	for i := range s.passes {
		if v := s.passes[i].plannedArcOn(); v != nil {
			text := digits(v, 3)
			planned.add(&text)
		}
	}
	if len(planned.words) == 0 {
		return "no ratio planned"
	}
	return "planned " + planned.String() + ", at most " + digits(plain(&s.job.Procedure.Judge.ArcOnTolerance), 3) + " less"
}

// judgeRule states the decision rule, which must stand with every verdict.
func (s *Sheet) judgeRule() string {
	j := s.job.Procedure.Judge
	return fmt.Sprintf("Verdicts hold the number and its expanded uncertainty U (k = 2) against the window: "+
		"within and outside mean by more than the guard band of %s U; closer than that, the verdict says so. "+
		"A channel deviates when its mean over %s has been out of its limits for longer than %s; single samples are never judged.",
		strconv.FormatFloat(j.GuardBand, 'g', -1, 64), quantity.Text(j.AverageOver, "s", 2), quantity.Text(j.Dwell, "s", 2))
}
