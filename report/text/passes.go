package text

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/report/sheet"
)

func basisMark(basis *string) string {
	if basis == nil {
		return sheet.Dash
	}
	switch heat.TravelBasis(*basis) {
	case heat.TravelMeasured:
		return "m"
	case heat.TravelDerived:
		return "r"
	case heat.TravelDeclared:
		return "d"
	default:
		return *basis
	}
}

// courseMarks are the signs behind the turns of a pass, and what they stand for.
var courseMarks = []struct {
	sign, words string
	holds       func(*pass.Course) bool
}{
	{"i", "stopped short", func(c *pass.Course) bool { return c.State == pass.Interrupted }},
	{"c", "cut off by the end of the samples", func(c *pass.Course) bool { return c.State == pass.Cut }},
	{"r", "goes on with an earlier pass", func(c *pass.Course) bool { return c.Resumes > 0 }},
	{"o", "goes over an earlier pass again", func(c *pass.Course) bool { return c.Repeats > 0 }},
	{"m", "strokes missing before it", func(c *pass.Course) bool { return c.Missing > 0 }},
	{"b", "arc on the cold way back", func(c *pass.Course) bool { return c.Against }},
	{"x", "one stroke too many", func(c *pass.Course) bool { return c.Extra }},
}

// courseMark is empty for a pass as planned.
func courseMark(p *sheet.Pass) string {
	mark := ""
	for _, m := range courseMarks {
		if m.holds(&p.Course) {
			mark += m.sign
		}
	}
	return mark
}

// courseNotes explain the marks that stand in the table.
func courseNotes(s *sheet.Sheet) []string {
	var used []string
	for _, m := range courseMarks {
		for i := range s.Passes {
			if m.holds(&s.Passes[i].Course) {
				used = append(used, m.sign+" "+m.words)
				break
			}
		}
	}
	if used == nil {
		return nil
	}
	return []string{"turns: " + strings.Join(used, ", ")}
}

// pageWidth keeps a table readable in a terminal of 140 columns.
const pageWidth = 136

// warningsShown keeps a bad capture from scrolling its passes out of sight;
// the JSON and the weld record have all of them.
const warningsShown = 20

// Passes writes the passes as an aligned table, with what they rest on.
func Passes(w io.Writer, s *sheet.Sheet, u sheet.Units) error {
	set := u.Set()
	g := grid{columns: []column{
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
		{name: "wire", unit: set.Wire},
		{name: "metal", unit: set.Mass},
		{name: "turns"},
		{name: "travel", unit: set.Length},
		{name: "speed", unit: set.Travel},
		{name: "by", left: true},
		{name: "E", unit: set.Heat},
		{name: "Q", unit: set.Heat},
		{name: "±U", unit: set.Heat},
		{name: "verdict", left: true},
		{name: "find"},
	}}
	for i := range s.Passes {
		g.add(passCells(s, &s.Passes[i], set))
	}
	return writeTable(w, s, "pass table", &g, passNotes(s, u))
}

func passCells(s *sheet.Sheet, p *sheet.Pass, set sheet.UnitSet) []string {
	return []string{
		strconv.Itoa(p.Number), sheet.Count(p.Layer), p.Began.Short(),
		sheet.Digits(sheet.Plain(&p.Elapsed), 1), sheet.Digits(sheet.Plain(&p.ArcTime), 1),
		sheet.Digits(p.KnownArcOn(), 3), sheet.Digits(p.KnownPlan(), 3),
		sheet.Digits(sheet.Plain(p.VoltageMean), 2), sheet.Digits(sheet.Plain(p.CurrentMean), 1), sheet.Digits(sheet.Plain(p.PowerMean), 0),
		sheet.Digits(sheet.Thousandth(p.KnownEnergy()), 1),
		sheet.Digits(sheet.In(p.Wire, set.Wire), set.WireDigits), sheet.Digits(sheet.In(p.Deposit, set.Mass), set.MassDigits),
		sheet.Digits(sheet.Number(p.Turns), 2) + courseMark(p), sheet.Digits(sheet.In(p.Travel, set.Length), set.LengthDigits),
		sheet.Digits(sheet.In(p.TravelSpeed, set.Travel), set.TravelDigits), basisMark(p.KnownTravelBasis()),
		sheet.Digits(sheet.In(p.ArcEnergy, set.Heat), set.HeatDigits),
		sheet.Digits(sheet.In(p.HeatInput, set.Heat), set.HeatDigits),
		sheet.Digits(sheet.In(p.ExpandedUncertainty, set.Heat), set.HeatDigits),
		sheet.ShortVerdict(p.Verdict), strconv.Itoa(p.Findings),
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
		"judged: " + s.Definition() + "; window " + heatWindow(s, u),
		"power: " + power + "; travel speed by: " + travel + " (m measured, r derived from a rhythm, d declared)",
		"U: expanded uncertainty of the heat input, k = 2; * closer to a limit than the guard band (" +
			strconv.FormatFloat(s.Job.Procedure.Judge.GuardBand, 'g', -1, 64) + " U)",
		"rule: " + s.Proof.Rule,
	}
	return append(append(notes, courseNotes(s)...), typedNotes(s, u)...)
}

func writeTable(w io.Writer, s *sheet.Sheet, title string, g *grid, notes []string) error {
	head := fmt.Sprintf("%s: %s\nrecord %s, procedure %s, pattern %s\n\n", title, sheet.OrDash(s.Job.Name), sheet.OrDash(s.Record),
		sheet.OrDash(s.Job.Procedure.Name), sheet.OrDash(string(s.Job.Deposit.Pattern)))
	if _, err := io.WriteString(w, head); err != nil {
		return fmt.Errorf("write %s: %w", title, err)
	}
	if err := g.writeTo(w); err != nil {
		return fmt.Errorf("write %s: %w", title, err)
	}
	tail := "\n"
	if len(g.rows) == 0 {
		tail = "     (none)\n\n"
	}
	for _, line := range append(notes, warningLines(s)...) {
		tail += strings.Join(wrap(line, pageWidth), "\n  ") + "\n"
	}
	if _, err := io.WriteString(w, tail); err != nil {
		return fmt.Errorf("write %s: %w", title, err)
	}
	return nil
}

func warningLines(s *sheet.Sheet) []string {
	var lines []string
	for i, warning := range s.Warnings {
		if i == warningsShown {
			return append(lines, fmt.Sprintf("warning: and %d more, all in --json and in the weld record", len(s.Warnings)-i))
		}
		lines = append(lines, "warning: "+warningLine(&warning))
	}
	return lines
}

// warningLine is the warning with its pass and its time.
func warningLine(w *sheet.Warning) string {
	text := w.Kind
	if w.Warning.Pass > 0 {
		text += fmt.Sprintf(", pass %d", w.Warning.Pass)
	}
	if when := w.When(); when != "" {
		text += ", " + when
	}
	return text + ": " + w.Text
}

func heatWindow(s *sheet.Sheet, u sheet.Units) string {
	set := u.Set()
	return sheet.RangeText(s.Job.Procedure.Limits.HeatInput, set.Heat, set.HeatDigits)
}

// typedNotes are the lines below the pass table.
func typedNotes(s *sheet.Sheet, u sheet.Units) (notes []string) {
	set := u.Set()
	for i := range s.Passes {
		p := &s.Passes[i]
		var said []string
		if t := p.AtStart.Temperature; t != nil && t.By != "" {
			said = append(said, quantity.Text(t.Value, set.Temperature, 0)+", typed in by "+t.By)
		}
		if g := p.AtStart.GasFlow; g != nil && g.By != "" {
			said = append(said, quantity.Text(g.Value, set.Gas, 1)+", typed in by "+g.By)
		}
		if said != nil {
			notes = append(notes, fmt.Sprintf("start of pass %d: %s", p.Number, strings.Join(said, "; ")))
		}
	}
	for k := range s.Typed {
		if n := &s.Typed[k]; n.Text != "" || len(s.StandsFor(k)) == 0 {
			notes = append(notes, fmt.Sprintf("typed in by %s, %s: %s", n.By, n.Entered.Clock(), n.Said()))
		}
	}
	return notes
}
