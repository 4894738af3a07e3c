package sheet

import (
	"fmt"
	"strconv"

	"arctally/acquire/series"
	"arctally/analyze/heat"
)

// passHead heads a column of the printed pass table: two figures stand in each
// cell, one above the other, so that a page in portrait holds them all.
type passHead struct{ Name, Unit, SubName, SubUnit string }

var passHeads = []passHead{
	{"Pass", "", "layer", ""},
	{"Start", "", "date", ""},
	{"Arc time", "s", "elapsed", "s"},
	{"Arc-on", "", "planned", ""},
	{"Voltage", "V", "current", "A"},
	{"Power", "W", "basis", ""},
	{"Energy", "kJ", "no data", "s"},
	{"Wire", "m", "deposit", "g"},
	{"Travel", "mm", "turns", ""},
	{"Speed", "mm/min", "basis", ""},
	{"Q", "kJ/mm", "± U", ""},
	{"E", "kJ/mm", "\u00a0", ""},
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
			Number: p.Number, Cells: p.cells(), Sign: verdictSign(p.Verdict), Verdict: verdictWords(p.Verdict), Finds: p.Findings,
		})
	}
	return lines
}

func (p *passEntry) cells() []cell {
	return []cell{
		{strconv.Itoa(p.Number), count(p.Layer)},
		{p.start.clock(), p.start.date()},
		{digits(plain(&p.ArcTime), 2), digits(plain(&p.Elapsed), 2)},
		{digits(p.arcOnRatio(), 3), digits(p.plannedArcOn(), 3)},
		{digits(plain(p.VoltageMean), 2), digits(plain(p.CurrentMean), 1)},
		{digits(plain(p.PowerMean), 0), orUnknown(p.powerBasis())},
		{digits(thousandth(p.energy()), 2), digits(plain(&p.GapTime), 2)},
		{digits(in(p.Wire, "m"), 2), digits(in(p.Deposit, "g"), 1)},
		{digits(in(p.Travel, "mm"), 0), digits(number(p.Turns), 2) + p.courseWords()},
		{digits(in(p.TravelSpeed, "mm/min"), 0), orUnknown(p.travelBasis())},
		{digits(in(p.HeatInput, "kJ/mm"), 3), plusMinus(digits(in(p.ExpandedUncertainty, "kJ/mm"), 3))},
		{digits(in(p.ArcEnergy, "kJ/mm"), 3), ""},
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
}

func (s *Sheet) findingLines() []findingLine {
	lines := make([]findingLine, 0, len(s.findings))
	for i := range s.findings {
		f := &s.findings[i]
		m := measureOf(f.Rule, Metric)
		pass := fmt.Sprintf("pass %d", f.Finding.Pass)
		if f.Layer > 0 {
			pass += fmt.Sprintf(", layer %d", f.Layer)
		}
		lines = append(lines, findingLine{
			Number: f.Number, Shape: ruleShape(f.Rule, 18, 18), Rule: spaced(string(f.Rule)), Place: f.placeText(), Pass: pass,
			When: f.start.clock(), Duration: digits(plain(&f.Duration), 2) + " s",
			Worst: m.text(f.Worst), Limit: m.text(f.Limit) + m.suffix(),
			Beyond: signed(digits(m.span(f.Beyond), m.decimals), f.Beyond) + m.suffix(), Sentence: f.Sentence, State: "open",
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

func (f *findingEntry) placeText() string {
	angle, depth := placeOf(f.Place)
	if angle == nil {
		return "place not known"
	}
	return digits(angle, 0) + "° at " + digits(depth, 1) + " mm"
}

// warningLine is one doubt in the list of what was not known.
type warningLine struct{ Kind, Pass, When, Count, Text string }

func (s *Sheet) warningView() []warningLine {
	lines := make([]warningLine, 0, len(s.warnings))
	for i := range s.warnings {
		w := &s.warnings[i]
		line := warningLine{Kind: spaced(w.Kind), Pass: count(w.Warning.Pass), When: w.when(), Count: dash, Text: w.Text}
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
