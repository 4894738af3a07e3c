package sheet

import (
	"fmt"
	"strconv"

	"arctally/acquire/quantity"
	"arctally/analyze/finding"
)

// windowLine is one limit of the procedure beside what the passes came to.
type windowLine struct {
	Quantity, Window, SetTo, Seen string
	Findings                      int
}

func (s *Sheet) windowLines() []windowLine {
	l, set := &s.job.Procedure.Limits, &s.job.Setpoints
	heatName := "Heat input Q = k*E"
	if s.arcEnergyRules() {
		heatName = "Arc energy E"
	}
	return []windowLine{
		{"Voltage", rangeText(l.Voltage, "V", 1), declared(set.Voltage, "V", 1), s.seen("V", 2, func(p *passEntry) *float64 {
			return plain(p.VoltageMean)
		}), s.broken(finding.Voltage)},
		{"Current", rangeText(l.Current, "A", 0), declared(set.Current, "A", 0), s.seen("A", 1, func(p *passEntry) *float64 {
			return plain(p.CurrentMean)
		}), s.broken(finding.Current)},
		{
			"Wire speed", rangeText(l.WireSpeed, "m/min", 2), declared(set.WireSpeed, "m/min", 2),
			s.seen("m/min", 2, wireSpeed), s.broken(finding.WireSpeed),
		},
		{"Travel speed", rangeText(l.TravelSpeed, "mm/min", 0), declared(set.TravelSpeed, "mm/min", 0), s.seen("mm/min", 0, func(p *passEntry) *float64 {
			return in(p.TravelSpeed, "mm/min")
		}), s.broken(finding.TravelSpeed)},
		{heatName, rangeText(l.HeatInput, "kJ/mm", 3), dash, s.seen("kJ/mm", 3, func(p *passEntry) *float64 {
			value, _ := s.judged(p)
			return in(value, "kJ/mm")
		}), s.broken(finding.HeatInput)},
		{"Interpass temperature", rangeText(l.Interpass, "degC", 0), dash, dash, s.broken(finding.Interpass)},
		{"Gas flow", rangeText(l.GasFlow, "L/min", 1), dash, dash, s.broken(finding.GasFlow)},
		{"Arc on as planned", s.arcOnWindow(), dash, s.seen("", 3, func(p *passEntry) *float64 {
			return p.arcOnRatio()
		}), s.broken(finding.ArcOnRatio) + s.broken(finding.ArcOut) + s.broken(finding.ArcInGap)},
	}
}

// wireSpeed is the mean over the arc time of a pass.
func wireSpeed(p *passEntry) *float64 {
	if p.Wire == nil || p.ArcTime <= 0 {
		return nil
	}
	v := quantity.MetresPerSecond(float64(*p.Wire) / float64(p.ArcTime))
	return in(&v, "m/min")
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
