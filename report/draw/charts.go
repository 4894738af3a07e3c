package draw

import (
	"arctally/acquire/quantity"
	"arctally/report/sheet"
)

// Heat is the judged heat input with its uncertainty and its window, nil where none
// is known.
func Heat(s *sheet.Sheet, u sheet.Units) *Figure {
	unit := u.Set().Heat
	points := make([]point, len(s.Passes))
	for i := range s.Passes {
		p := &s.Passes[i]
		value, expanded := s.Judged(p)
		verdict := sheet.VerdictOf(p.Verdict)
		points[i] = point{
			pass: p.Number, value: sheet.In(value, unit.Name), doubt: sheet.In(expanded, unit.Name), sign: verdict.Sign, words: verdict.Words,
		}
		if expanded != nil {
			points[i].guard = sheet.In(new(quantity.JoulesPerMetre(s.Job.Procedure.Judge.GuardBand)**expanded), unit.Name)
		}
	}
	c := chart{s.JudgedName(), unit, largeFrame, windowOf(s.Job.Procedure.Limits.HeatInput, unit), points}
	return c.figure()
}

// Charts are what the heat input is made of, where anything is known of it.
func Charts(s *sheet.Sheet, u sheet.Units) (figures []*Figure) {
	l, travel := &s.Job.Procedure.Limits, u.Set().Travel
	volts, amps := sheet.Unit{Name: "V", Digits: 2}, sheet.Unit{Name: "A", Digits: 1}
	for _, c := range []*chart{
		arcOnChart(s),
		smallChart(s, "Mean voltage", volts, windowOf(l.Voltage, volts), func(p *sheet.Pass) *float64 { return sheet.Plain(p.VoltageMean) }),
		smallChart(s, "Mean current", amps, windowOf(l.Current, amps), func(p *sheet.Pass) *float64 { return sheet.Plain(p.CurrentMean) }),
		smallChart(s, "Travel speed", travel, windowOf(l.TravelSpeed, travel), func(p *sheet.Pass) *float64 { return sheet.In(p.TravelSpeed, travel.Name) }),
	} {
		if figure := c.figure(); figure != nil {
			figures = append(figures, figure)
		}
	}
	return figures
}

// arcOnChart is the arc-on ratio against what was planned.
func arcOnChart(s *sheet.Sheet) *chart {
	c := smallChart(s, "Arc-on ratio", sheet.Unit{Digits: 3}, leastArcOn(s), (*sheet.Pass).KnownArcOn)
	for i := range c.points {
		c.points[i].plan = s.Passes[i].KnownPlan()
	}
	return c
}

// smallChart marks what lies out of the window by shape, not by colour alone.
func smallChart(s *sheet.Sheet, title string, unit sheet.Unit, window limits, value func(*sheet.Pass) *float64) *chart {
	c := &chart{title, unit, smallFrame, window, make([]point, len(s.Passes))}
	for i := range s.Passes {
		v := value(&s.Passes[i])
		c.points[i] = point{pass: s.Passes[i].Number, value: v, sign: sheet.SignWithin}
		if v != nil && window.outside(*v) {
			c.points[i].sign, c.points[i].words = sheet.SignOutside, "out of the window"
		}
	}
	return c
}

// leastArcOn is the lowest arc-on ratio that the plan allows, where all passes have
// the same plan.
func leastArcOn(s *sheet.Sheet) limits {
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
	return limits{low: new(*planned - float64(s.Job.Procedure.Judge.ArcOnTolerance))}
}
