package text

import (
	"io"
	"strconv"

	"arctally/report/sheet"
)

// Passes writes the passes as an aligned table, with what they rest on.
func Passes(w io.Writer, s *sheet.Sheet, u sheet.Units) error {
	s, set := s.In(u), u.Set()
	g := grid{none: "(none)", columns: []column{
		{name: "pass"},
		{name: "layer"},
		{name: "start", unit: s.TimeUnit()},
		{name: "elapsed", unit: "s"},
		{name: "arc", unit: "s"},
		{name: "arc-on"},
		{name: "plan"},
		{name: "volts", unit: "V"},
		{name: "amps", unit: "A"},
		{name: "power", unit: "W"},
		{name: "energy", unit: "kJ"},
		{name: "wire", unit: set.Wire.Name},
		{name: "metal", unit: set.Mass.Name},
		{name: "turns"},
		{name: "travel", unit: set.Length.Name},
		{name: "speed", unit: set.Travel.Name},
		{name: "by", left: true},
		{name: "E", unit: set.Heat.Name},
		{name: "Q", unit: set.Heat.Name},
		{name: "±U", unit: set.Heat.Name},
		{name: "verdict", left: true},
		{name: "find"},
	}}
	for i := range s.Passes {
		g.add(passCells(&s.Passes[i], set))
	}
	return write(w, s, "pass table", &g, passNotes(s, u))
}

func passCells(p *sheet.Pass, set *sheet.UnitSet) []string {
	return []string{
		strconv.Itoa(p.Number), sheet.Count(p.Layer), p.Began.Short(),
		sheet.Digits(sheet.Plain(&p.Elapsed), 1), sheet.Digits(sheet.Plain(&p.ArcTime), 1),
		sheet.Digits(p.KnownArcOn(), 3), sheet.Digits(p.KnownPlan(), 3),
		sheet.Digits(sheet.Plain(p.VoltageMean), 2), sheet.Digits(sheet.Plain(p.CurrentMean), 1), sheet.Digits(sheet.Plain(p.PowerMean), 0),
		sheet.Digits(sheet.Thousandth(p.KnownEnergy()), 1),
		sheet.Show(p.Wire, set.Wire), sheet.Show(p.Deposit, set.Mass),
		sheet.Digits(sheet.Finite(p.Turns), 2) + courseMark(p), sheet.Show(p.Travel, set.Length),
		sheet.Show(p.TravelSpeed, set.Travel), basisMark(p.KnownTravelBasis()),
		sheet.Show(p.ArcEnergy, set.Heat),
		sheet.Show(p.HeatInput, set.Heat),
		sheet.Show(p.ExpandedUncertainty, set.Heat),
		sheet.VerdictOf(p.Verdict).Short, strconv.Itoa(p.Findings),
	}
}

// passNotes say what the figures of the table rest on.
func passNotes(s *sheet.Sheet, u sheet.Units) []string {
	if len(s.Passes) == 0 {
		return nil
	}
	power, travel := s.Bases()
	notes := []string{
		s.TimeNote(),
		"judged: " + s.Definition() + "; window " + sheet.RangeText(s.Job.Procedure.Limits.HeatInput, u.Set().Heat),
		"power: " + power + "; travel speed by: " + travel + " (m measured, r derived from a rhythm, d declared)",
		"U: expanded uncertainty of the heat input, k = 2; * closer to a limit than the guard band (" +
			strconv.FormatFloat(s.Job.Procedure.Judge.GuardBand, 'g', -1, 64) + " U)",
		"rule: " + s.Proof.Rule,
	}
	notes = append(notes, transferNotes(s)...)
	notes = append(notes, s.AngleLines()...)
	return append(append(notes, courseNotes(s)...), typedNotes(s, u)...)
}
