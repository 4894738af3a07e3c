package sheet

import "arctally/acquire/quantity"

// heatStrip is the judged heat input with its uncertainty and its window.
func (s *Sheet) heatStrip() *strip {
	points := make([]point, len(s.passes))
	for i := range s.passes {
		p := &s.passes[i]
		value, expanded := s.judged(p)
		points[i] = point{
			pass: p.Number, value: in(value, "kJ/mm"), doubt: in(expanded, "kJ/mm"),
			sign: verdictSign(p.Verdict), words: verdictWords(p.Verdict),
		}
	}
	title := "Heat input Q = k*E"
	if s.arcEnergyRules() {
		title = "Arc energy E"
	}
	return newStrip(title, "kJ/mm", 3, largeFrame, points, windowOf(s.job.Procedure.Limits.HeatInput, "kJ/mm"))
}

// smallStrips are what the heat input is made of, where anything is known of it.
func (s *Sheet) smallStrips() []*strip {
	l := &s.job.Procedure.Limits
	var strips []*strip
	for _, one := range []*strip{
		s.smallStrip("Arc-on ratio", "", 3, func(p *passEntry) *float64 { return p.arcOnRatio() }, s.plannedWindow()),
		s.smallStrip("Mean voltage", "V", 2, func(p *passEntry) *float64 { return plain(p.VoltageMean) }, windowOf(l.Voltage, "V")),
		s.smallStrip("Mean current", "A", 1, func(p *passEntry) *float64 { return plain(p.CurrentMean) }, windowOf(l.Current, "A")),
		s.smallStrip("Travel speed", "mm/min", 0, func(p *passEntry) *float64 { return in(p.TravelSpeed, "mm/min") }, windowOf(l.TravelSpeed, "mm/min")),
	} {
		if one != nil {
			strips = append(strips, one)
		}
	}
	return strips
}

// smallStrip marks what lies out of the window by shape, not by colour alone.
func (s *Sheet) smallStrip(title, unit string, decimals int, value func(*passEntry) *float64, window limits) *strip {
	points := make([]point, len(s.passes))
	for i := range s.passes {
		v := value(&s.passes[i])
		points[i] = point{pass: s.passes[i].Number, value: v, sign: signWithin}
		if v != nil && (window.low != nil && *v < *window.low || window.high != nil && *v > *window.high) {
			points[i].sign, points[i].words = signOutside, "out of the window"
		}
	}
	return newStrip(title, unit, decimals, smallFrame, points, window)
}

// plannedWindow is the lowest arc-on ratio that the plan allows, where all
// passes have the same plan.
func (s *Sheet) plannedWindow() limits {
	var planned *float64
	for i := range s.passes {
		v := s.passes[i].plannedArcOn()
		if v == nil || planned != nil && *planned != *v {
			return limits{}
		}
		planned = v
	}
	if planned == nil {
		return limits{}
	}
	low := *planned - float64(s.job.Procedure.Judge.ArcOnTolerance)
	return limits{low: &low}
}

func windowOf[Q quantity.Quantity](r quantity.Range[Q], unit string) limits {
	var l limits
	if r.HasLow {
		l.low = in(&r.Low, unit)
	}
	if r.HasHigh {
		l.high = in(&r.High, unit)
	}
	return l
}
