package draw

import (
	"arctally/acquire/quantity"
	"arctally/report/sheet"
)

// Heat is the judged heat input with its uncertainty and its window.
func Heat(s *sheet.Sheet) *Strip {
	set := s.Units.Set()
	points := make([]point, len(s.Passes))
	for i := range s.Passes {
		p := &s.Passes[i]
		value, expanded := s.Judged(p)
		if expanded != nil {
			points[i].guard = sheet.In(new(quantity.JoulesPerMetre(s.Job.Procedure.Judge.GuardBand)**expanded), set.Heat)
		}
		points[i] = point{
			guard: points[i].guard,
			pass:  p.Number, value: sheet.In(value, set.Heat), doubt: sheet.In(expanded, set.Heat),
			sign: sheet.VerdictSign(p.Verdict), words: sheet.VerdictText(p.Verdict),
		}
	}
	title := "Heat input Q = k*E"
	if s.ArcEnergyRules() {
		title = "Arc energy E"
	}
	return newStrip(title, set.Heat, set.HeatDigits, largeFrame, points, windowOf(s.Job.Procedure.Limits.HeatInput, set.Heat))
}

// Strips are what the heat input is made of, where anything is known of it.
func Strips(s *sheet.Sheet) []*Strip {
	l, set := &s.Job.Procedure.Limits, s.Units.Set()
	var strips []*Strip
	for _, one := range []*Strip{
		arcOnStrip(s),
		smallStrip(s, "Mean voltage", "V", 2, func(p *sheet.Pass) *float64 { return sheet.Plain(p.VoltageMean) }, windowOf(l.Voltage, "V")),
		smallStrip(s, "Mean current", "A", 1, func(p *sheet.Pass) *float64 { return sheet.Plain(p.CurrentMean) }, windowOf(l.Current, "A")),
		smallStrip(s, "Travel speed", set.Travel, set.TravelDigits, func(p *sheet.Pass) *float64 { return sheet.In(p.TravelSpeed, set.Travel) }, windowOf(l.TravelSpeed, set.Travel)),
	} {
		if one != nil {
			strips = append(strips, one)
		}
	}
	return strips
}

// arcOnStrip is the arc-on ratio against what was planned.
func arcOnStrip(s *sheet.Sheet) *Strip {
	window := plannedWindow(s)
	points := points(s, func(p *sheet.Pass) *float64 { return p.KnownArcOn() }, window)
	for i := range points {
		points[i].plan = s.Passes[i].KnownPlan()
	}
	return newStrip("Arc-on ratio", "", 3, smallFrame, points, window)
}

// smallStrip is a chart beside others.
func smallStrip(s *sheet.Sheet, title, unit string, decimals int, value func(*sheet.Pass) *float64, window limits) *Strip {
	return newStrip(title, unit, decimals, smallFrame, points(s, value, window), window)
}

// points marks what lies out of the window by shape, not by colour alone.
func points(s *sheet.Sheet, value func(*sheet.Pass) *float64, window limits) []point {
	points := make([]point, len(s.Passes))
	for i := range s.Passes {
		v := value(&s.Passes[i])
		points[i] = point{pass: s.Passes[i].Number, value: v, sign: sheet.SignWithin}
		if v != nil && window.outside(*v) {
			points[i].sign, points[i].words = sheet.SignOutside, "out of the window"
		}
	}
	return points
}

// plannedWindow is the lowest arc-on ratio that the plan allows, where all
// passes have the same plan.
func plannedWindow(s *sheet.Sheet) limits {
	var planned *float64
	for i := range s.Passes {
		v := s.Passes[i].KnownPlan()
		if v == nil || planned != nil && *planned != *v {
			return limits{}
		}
		planned = v
	}
	if planned == nil {
		return limits{}
	}
	low := *planned - float64(s.Job.Procedure.Judge.ArcOnTolerance)
	return limits{low: &low}
}

func windowOf[Q quantity.Quantity](r quantity.Range[Q], unit string) limits {
	low, high := sheet.RangeEnds(r, unit)
	return limits{low, high}
}
