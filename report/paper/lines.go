package paper

import (
	"fmt"
	"strconv"
	"strings"

	"arctally/acquire/series"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/report/draw"
	"arctally/report/sheet"
)

// courseWords are for the printed table; empty for a pass as planned.
func courseWords(p *sheet.Pass) string {
	var words []string
	c := &p.Course
	switch c.State {
	case pass.Interrupted:
		words = append(words, fmt.Sprintf("short of %.2f", c.Planned))
	case pass.Cut:
		words = append(words, "cut off")
	}
	if c.Resumes > 0 {
		words = append(words, fmt.Sprintf("on with %d", c.Resumes))
	}
	if c.Repeats > 0 {
		words = append(words, fmt.Sprintf("over %d again", c.Repeats))
	}
	if c.Missing > 0 {
		words = append(words, sheet.Plural(c.Missing, "stroke missing", "strokes missing"))
	}
	if c.Against {
		words = append(words, "way back")
	}
	if c.Extra {
		words = append(words, "one too many")
	}
	if p.EndedBy != "" {
		words = append(words, "ended by "+p.EndedBy)
	}
	if words == nil {
		return ""
	}
	return ", " + strings.Join(words, ", ")
}

// passHead heads a column of the printed pass table: two figures stand in each
// cell, one above the other, so that a page in portrait holds them all.
type passHead struct{ Name, Unit, SubName, SubUnit string }

func passHeads(s *sheet.Sheet) []passHead {
	set := s.Units.Set()
	return []passHead{
		{"Pass", "", "layer", ""},
		{"Start", "", "date", ""},
		{"Arc time", "s", "elapsed", "s"},
		{"Arc-on", "", "planned", ""},
		{"Voltage", "V", "current", "A"},
		{"Power", "W", "basis", ""},
		{"Energy", "kJ", "no data", "s"},
		{"Wire", set.Wire, "deposit", set.Mass},
		{"Travel", set.Length, "turns", ""},
		{"Speed", set.Travel, "basis", ""},
		{"Q", set.Heat, "± U", ""},
		{"E", set.Heat, "\u00a0", ""},
	}
}

// passLine is one pass of the printed table.
type passLine struct {
	Number  int
	Cells   []cell
	Sign    string
	Verdict string
	Finds   int
}

type cell struct{ Main, Sub string }

func passLines(s *sheet.Sheet) []passLine {
	lines := make([]passLine, 0, len(s.Passes))
	for i := range s.Passes {
		p := &s.Passes[i]
		lines = append(lines, passLine{
			Number: p.Number, Cells: passCells(p, s.Units.Set()), Sign: sheet.VerdictSign(p.Verdict), Verdict: sheet.VerdictText(p.Verdict), Finds: p.Findings,
		})
	}
	return lines
}

func passCells(p *sheet.Pass, set sheet.UnitSet) []cell {
	return []cell{
		{strconv.Itoa(p.Number), sheet.Count(p.Layer)},
		{p.Began.Clock(), p.Began.Date()},
		{sheet.Digits(sheet.Plain(&p.ArcTime), 2), sheet.Digits(sheet.Plain(&p.Elapsed), 2)},
		{sheet.Digits(p.KnownArcOn(), 3), sheet.Digits(p.KnownPlan(), 3)},
		{sheet.Digits(sheet.Plain(p.VoltageMean), 2), sheet.Digits(sheet.Plain(p.CurrentMean), 1)},
		{sheet.Digits(sheet.Plain(p.PowerMean), 0), orUnknown(p.KnownPowerBasis())},
		{sheet.Digits(sheet.Thousandth(p.KnownEnergy()), 2), sheet.Digits(sheet.Plain(&p.GapTime), 2)},
		{sheet.Digits(sheet.In(p.Wire, set.Wire), set.WireDigits), sheet.Digits(sheet.In(p.Deposit, set.Mass), set.MassDigits)},
		{sheet.Digits(sheet.In(p.Travel, set.Length), set.LengthDigits), sheet.Digits(sheet.Number(p.Turns), 2) + courseWords(p)},
		{sheet.Digits(sheet.In(p.TravelSpeed, set.Travel), set.TravelDigits), orUnknown(p.KnownTravelBasis())},
		{sheet.Digits(sheet.In(p.HeatInput, set.Heat), set.HeatDigits), plusMinus(sheet.Digits(sheet.In(p.ExpandedUncertainty, set.Heat), set.HeatDigits))},
		{sheet.Digits(sheet.In(p.ArcEnergy, set.Heat), set.HeatDigits), ""},
	}
}

func plusMinus(text string) string {
	if text == sheet.Dash {
		return sheet.Dash
	}
	return "± " + text
}

func orUnknown(w *string) string {
	if w == nil {
		return sheet.Dash
	}
	return *w
}

// findingLine is one finding of the printed list.
type findingLine struct {
	Number                         int
	Shape, Rule, Place, Pass, When string
	Duration, Worst, Limit, Beyond string
	Sentence, State                string
	Open                           bool
	Disposition                    []string // what is on record; none is nothing
}

func findingLines(s *sheet.Sheet) []findingLine {
	lines := make([]findingLine, 0, len(s.Findings))
	for i := range s.Findings {
		f, item := &s.Findings[i], &s.Book.Findings[i]
		m := sheet.MeasureOf(f.Rule, s.Units)
		lines = append(lines, findingLine{
			Number: f.Number, Shape: draw.RuleShape(f.Rule, 18, 18), Rule: sheet.Spaced(string(f.Rule)), Place: placeText(f, s.Units.Set()), Pass: findingPassText(f),
			Open: item.State.IsOpen(), Disposition: dispositionLines(item),
			When: f.Began.Clock(), Duration: sheet.Digits(sheet.Plain(&f.Duration), 2) + " s",
			Worst: m.Text(f.Worst), Limit: m.Text(f.Limit) + m.Suffix(),
			Beyond: sheet.Signed(sheet.Digits(m.Span(f.Beyond), m.Decimals), f.Beyond) + m.Suffix(), Sentence: f.In(s.Units), State: string(item.State),
		})
	}
	return lines
}

func placeText(f *sheet.Finding, set sheet.UnitSet) string {
	if f.Place == nil {
		return "place not known"
	}
	return sheet.Digits(sheet.Plain(&f.Place.Angle), 0) + "° at " + sheet.Digits(sheet.In(&f.Place.Depth, set.Length), set.DepthDigits) + " " + set.Length
}

func findingPassText(f *sheet.Finding) string {
	if f.Layer > 0 {
		return fmt.Sprintf("pass %d, layer %d", f.Finding.Pass, f.Layer)
	}
	return fmt.Sprintf("pass %d", f.Finding.Pass)
}

// warningLine is one doubt in the list of what was not known.
type warningLine struct{ Kind, Pass, When, Count, Text string }

func warningView(s *sheet.Sheet) []warningLine {
	lines := make([]warningLine, 0, len(s.Warnings))
	for i := range s.Warnings {
		w := &s.Warnings[i]
		line := warningLine{Kind: sheet.Spaced(w.Kind), Pass: sheet.Count(w.Warning.Pass), When: sheet.OrDash(w.When()), Count: sheet.Dash, Text: w.Text}
		if w.Count > 0 {
			line.Count = strconv.FormatInt(w.Count, 10)
		}
		lines = append(lines, line)
	}
	return lines
}

// basisLines say what the numbers of this job rest on.
func basisLines(s *sheet.Sheet) []string {
	if len(s.Passes) == 0 {
		return nil
	}
	power, travel := s.Bases()
	lines := []string{
		"Power: " + power + ". Instantaneous power is the mean of voltage times current of samples taken together; " +
			"average power is mean voltage times mean current, which on a dipping or pulsed arc can be off either way, and no correction is known for it.",
		"Travel: " + travel + ". Measured is by turn pulses, derived is by the once-a-turn rhythm of the signal itself, declared is the plan.",
	}
	if s.Job.Procedure.Judge.Power == series.Instantaneous && power != series.Instantaneous.String() {
		lines = append(lines, "The procedure's limits rest on instantaneous power; the power above does not for every pass.")
	}
	if travel == string(heat.TravelDeclared) {
		lines = append(lines, "No travel speed was measured: heat input per length is as good as the declared travel.")
	}
	return lines
}
