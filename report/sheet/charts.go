package sheet

import "arctally/acquire/quantity"

// heatStrip is the judged heat input with its uncertainty and its window.
func (s *Sheet) heatStrip() *strip {
	set := s.units.set()
	points := make([]point, len(s.passes))
	for i := range s.passes {
		p := &s.passes[i]
		value, expanded := s.judged(p)
		if expanded != nil {
			points[i].guard = in(new(quantity.JoulesPerMetre(s.job.Procedure.Judge.GuardBand)**expanded), set.heat)
		}
		points[i] = point{
			guard: points[i].guard,
			pass:  p.Number, value: in(value, set.heat), doubt: in(expanded, set.heat),
			sign: verdictSign(p.Verdict), words: verdictWords(p.Verdict),
		}
	}
	title := "Heat input Q = k*E"
	if s.arcEnergyRules() {
		title = "Arc energy E"
	}
	return newStrip(title, set.heat, set.heatDigits, largeFrame, points, windowOf(s.job.Procedure.Limits.HeatInput, set.heat))
}

// smallStrips are what the heat input is made of, where anything is known of it.
func (s *Sheet) smallStrips() []*strip {
	l, set := &s.job.Procedure.Limits, s.units.set()
	var strips []*strip
	for _, one := range []*strip{
		s.arcOnStrip(),
		s.smallStrip("Mean voltage", "V", 2, func(p *passEntry) *float64 { return plain(p.VoltageMean) }, windowOf(l.Voltage, "V")),
		s.smallStrip("Mean current", "A", 1, func(p *passEntry) *float64 { return plain(p.CurrentMean) }, windowOf(l.Current, "A")),
		s.smallStrip("Travel speed", set.travel, set.travelDigits, func(p *passEntry) *float64 { return in(p.TravelSpeed, set.travel) }, windowOf(l.TravelSpeed, set.travel)),
	} {
		if one != nil {
			strips = append(strips, one)
		}
	}
	return strips
}

// arcOnStrip is the arc-on ratio against what was planned.
func (s *Sheet) arcOnStrip() *strip {
	window := s.plannedWindow()
	points := s.points(func(p *passEntry) *float64 { return p.arcOnRatio() }, window)
	for i := range points {
		points[i].plan = s.passes[i].plannedArcOn()
	}
	return newStrip("Arc-on ratio", "", 3, smallFrame, points, window)
}

// smallStrip is a chart beside others.
func (s *Sheet) smallStrip(title, unit string, decimals int, value func(*passEntry) *float64, window limits) *strip {
	return newStrip(title, unit, decimals, smallFrame, s.points(value, window), window)
}

// points marks what lies out of the window by shape, not by colour alone.
func (s *Sheet) points(value func(*passEntry) *float64, window limits) []point {
	points := make([]point, len(s.passes))
	for i := range s.passes {
		v := value(&s.passes[i])
		points[i] = point{pass: s.passes[i].Number, value: v, sign: signWithin}
		if v != nil && window.outside(*v) {
			points[i].sign, points[i].words = signOutside, "out of the window"
		}
	}
	return points
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
	low, high := rangeEnds(r, unit)
	return limits{low, high}
}
