package sheet

import (
	"fmt"
	"strconv"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
)

// passHead heads a column of the printed pass table: two figures stand in each
// cell, one above the other, so that a page in portrait holds them all.
type passHead struct{ Name, Unit, SubName, SubUnit string }

func (s *Sheet) passHeads() []passHead {
	set := s.units.set()
	return []passHead{
		{"Pass", "", "layer", ""},
		{"Start", "", "date", ""},
		{"Arc time", "s", "elapsed", "s"},
		{"Arc-on", "", "planned", ""},
		{"Voltage", "V", "current", "A"},
		{"Power", "W", "basis", ""},
		{"Energy", "kJ", "no data", "s"},
		{"Wire", set.wire, "deposit", set.mass},
		{"Travel", set.length, "turns", ""},
		{"Speed", set.travel, "basis", ""},
		{"Q", set.heat, "± U", ""},
		{"E", set.heat, "\u00a0", ""},
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

func (s *Sheet) passLines() []passLine {
	lines := make([]passLine, 0, len(s.passes))
	for i := range s.passes {
		p := &s.passes[i]
		lines = append(lines, passLine{
			Number: p.Number, Cells: p.cells(s.units.set()), Sign: verdictSign(p.Verdict), Verdict: verdictWords(p.Verdict), Finds: p.Findings,
		})
	}
	return lines
}

func (p *passEntry) cells(set unitSet) []cell {
	return []cell{
		{strconv.Itoa(p.Number), count(p.Layer)},
		{p.start.clock(), p.start.date()},
		{digits(plain(&p.ArcTime), 2), digits(plain(&p.Elapsed), 2)},
		{digits(p.arcOnRatio(), 3), digits(p.plannedArcOn(), 3)},
		{digits(plain(p.VoltageMean), 2), digits(plain(p.CurrentMean), 1)},
		{digits(plain(p.PowerMean), 0), orUnknown(p.powerBasis())},
		{digits(thousandth(p.energy()), 2), digits(plain(&p.GapTime), 2)},
		{digits(in(p.Wire, set.wire), set.wireDigits), digits(in(p.Deposit, set.mass), set.massDigits)},
		{digits(in(p.Travel, set.length), set.lengthDigits), digits(number(p.Turns), 2) + p.courseWords()},
		{digits(in(p.TravelSpeed, set.travel), set.travelDigits), orUnknown(p.travelBasis())},
		{digits(in(p.HeatInput, set.heat), set.heatDigits), plusMinus(digits(in(p.ExpandedUncertainty, set.heat), set.heatDigits))},
		{digits(in(p.ArcEnergy, set.heat), set.heatDigits), ""},
	}
}

func plusMinus(text string) string {
	if text == dash {
		return dash
	}
	return "± " + text
}

func orUnknown(w *string) string {
	if w == nil {
		return dash
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

func (s *Sheet) findingLines() []findingLine {
	lines := make([]findingLine, 0, len(s.findings))
	for i := range s.findings {
		f, item := &s.findings[i], &s.book.Findings[i]
		m := measureOf(f.Rule, s.units)
		lines = append(lines, findingLine{
			Number: f.Number, Shape: ruleShape(f.Rule, 18, 18), Rule: spaced(string(f.Rule)), Place: f.placeText(s.units.set()), Pass: f.passText(),
			Open: item.State.IsOpen(), Disposition: dispositionLines(item),
			When: f.start.clock(), Duration: digits(plain(&f.Duration), 2) + " s",
			Worst: m.text(f.Worst), Limit: m.text(f.Limit) + m.suffix(),
			Beyond: signed(digits(m.span(f.Beyond), m.decimals), f.Beyond) + m.suffix(), Sentence: f.sentence(s.units), State: string(item.State),
		})
	}
	return lines
}

// suffix is the unit behind a number; a pure number has none.
func (m measure) suffix() string {
	if m.unit == "1" {
		return ""
	}
	return " " + m.unit
}

// sentence is in the units of a reader; of the record's own units it is the one on record.
func (f *findingEntry) sentence(u Units) string {
	if u == Metric {
		return f.Sentence
	}
	return f.SentenceIn(finding.Words{
		Value: func(rule finding.Rule, si float64) string { return measureOf(rule, u).words(si) },
		Depth: func(d quantity.Metres) string { return quantity.Text(d, u.set().length, u.set().depth) },
	})
}

func (f *findingEntry) placeText(set unitSet) string {
	if f.Place == nil {
		return "place not known"
	}
	return digits(plain(&f.Place.Angle), 0) + "° at " + digits(in(&f.Place.Depth, set.length), set.depth) + " " + set.length
}

func (f *findingEntry) passText() string {
	if f.Layer > 0 {
		return fmt.Sprintf("pass %d, layer %d", f.Finding.Pass, f.Layer)
	}
	return fmt.Sprintf("pass %d", f.Finding.Pass)
}

// warningLine is one doubt in the list of what was not known.
type warningLine struct{ Kind, Pass, When, Count, Text string }

func (s *Sheet) warningView() []warningLine {
	lines := make([]warningLine, 0, len(s.warnings))
	for i := range s.warnings {
		w := &s.warnings[i]
		line := warningLine{Kind: spaced(w.Kind), Pass: count(w.Warning.Pass), When: orDash(w.when()), Count: dash, Text: w.Text}
		if w.Count > 0 {
			line.Count = strconv.FormatInt(w.Count, 10)
		}
		lines = append(lines, line)
	}
	return lines
}

// timeNote says which clock the times are on.
func (s *Sheet) timeNote() string {
	if s.timeUnit() == "UTC" {
		return "times are UTC"
	}
	return "times are seconds on the clock of the source; its date is not known"
}

// basisLines say what the numbers of this job rest on.
func (s *Sheet) basisLines() []string {
	if len(s.passes) == 0 {
		return nil
	}
	power, travel := s.bases()
	lines := []string{
		"Power: " + power + ". Instantaneous power is the mean of voltage times current of samples taken together; " +
			"average power is mean voltage times mean current, which on a dipping or pulsed arc can be off either way, and no correction is known for it.",
		"Travel: " + travel + ". Measured is by turn pulses, derived is by the once-a-turn rhythm of the signal itself, declared is the plan.",
	}
	if s.job.Procedure.Judge.Power == series.Instantaneous && power != series.Instantaneous.String() {
		lines = append(lines, "The procedure's limits rest on instantaneous power; the power above does not for every pass.")
	}
	if travel == string(heat.TravelDeclared) {
		lines = append(lines, "No travel speed was measured: heat input per length is as good as the declared travel.")
	}
	return lines
}
