package sheet

import (
	"fmt"
	"io"
	"strconv"
	"strings"
)

// pageWidth keeps a table readable in a terminal of 140 columns.
const pageWidth = 136

// warningsShown keeps a bad capture from scrolling its passes out of sight;
// the JSON and the weld record have all of them.
const warningsShown = 20

// PassTable writes the passes as an aligned table, with what they rest on.
func (s *Sheet) PassTable(w io.Writer, u Units) error {
	set := u.set()
	g := grid{columns: []column{
		{name: "pass"},
		{name: "layer"},
		{name: "start", unit: s.timeUnit()},
		{name: "elapsed", unit: "s"},
		{name: "arc", unit: "s"},
		{name: "arc-on"},
		{name: "plan"},
		{name: "volts", unit: "V"},
		{name: "amps", unit: "A"},
		{name: "power", unit: "W"},
		{name: "energy", unit: "kJ"},
		{name: "wire", unit: set.wire},
		{name: "metal", unit: set.mass},
		{name: "turns"},
		{name: "travel", unit: set.length},
		{name: "speed", unit: set.travel},
		{name: "by", left: true},
		{name: "E", unit: set.heat},
		{name: "Q", unit: set.heat},
		{name: "±U", unit: set.heat},
		{name: "verdict", left: true},
		{name: "find"},
	}}
	for i := range s.passes {
		g.add(s.passCells(&s.passes[i], set))
	}
	return s.writeTable(w, "pass table", &g, s.passNotes(u))
}

func (s *Sheet) passCells(p *passEntry, set unitSet) []string {
	return []string{
		strconv.Itoa(p.Number), count(p.Layer), p.start.short(),
		digits(plain(&p.Elapsed), 1), digits(plain(&p.ArcTime), 1),
		digits(p.arcOnRatio(), 3), digits(p.plannedArcOn(), 3),
		digits(plain(p.VoltageMean), 2), digits(plain(p.CurrentMean), 1), digits(plain(p.PowerMean), 0),
		digits(thousandth(p.energy()), 1),
		digits(in(p.Wire, set.wire), set.wireDigits), digits(in(p.Deposit, set.mass), set.massDigits),
		digits(number(p.Turns), 2) + p.courseMark(), digits(in(p.Travel, set.length), set.lengthDigits),
		digits(in(p.TravelSpeed, set.travel), set.travelDigits), basisMark(p.travelBasis()),
		digits(in(p.ArcEnergy, set.heat), set.heatDigits),
		digits(in(p.HeatInput, set.heat), set.heatDigits),
		digits(in(p.ExpandedUncertainty, set.heat), set.heatDigits),
		shortVerdict(p.Verdict), strconv.Itoa(p.Findings),
	}
}

// passNotes say what the figures of the table rest on.
func (s *Sheet) passNotes(u Units) []string {
	if len(s.passes) == 0 {
		return nil
	}
	power, travel := s.bases()
	notes := []string{
		s.timeNote(),
		"judged: " + s.definition() + "; window " + s.heatWindow(u),
		"power: " + power + "; travel speed by: " + travel + " (m measured, r derived from a rhythm, d declared)",
		"U: expanded uncertainty of the heat input, k = 2; * closer to a limit than the guard band (" +
			strconv.FormatFloat(s.job.Procedure.Judge.GuardBand, 'g', -1, 64) + " U)",
		"rule: " + s.proof.Rule,
	}
	return append(append(notes, s.courseNotes()...), s.typedNotes(u)...)
}

func (s *Sheet) writeTable(w io.Writer, title string, g *grid, notes []string) error {
	head := fmt.Sprintf("%s: %s\nrecord %s, procedure %s, pattern %s\n\n", title, orDash(s.job.Name), orDash(s.record),
		orDash(s.job.Procedure.Name), orDash(string(s.job.Deposit.Pattern)))
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
	for _, line := range append(notes, s.warningLines()...) {
		tail += strings.Join(wrap(line, pageWidth), "\n  ") + "\n"
	}
	if _, err := io.WriteString(w, tail); err != nil {
		return fmt.Errorf("write %s: %w", title, err)
	}
	return nil
}

func (s *Sheet) warningLines() []string {
	var lines []string
	for i, warning := range s.warnings {
		if i == warningsShown {
			return append(lines, fmt.Sprintf("warning: and %d more, all in --json and in the weld record", len(s.warnings)-i))
		}
		lines = append(lines, "warning: "+warning.line())
	}
	return lines
}

// line is the warning with its pass and its time.
func (w *warningEntry) line() string {
	text := w.Kind
	if w.Warning.Pass > 0 {
		text += fmt.Sprintf(", pass %d", w.Warning.Pass)
	}
	if when := w.when(); when != "" {
		text += ", " + when
	}
	return text + ": " + w.Text
}

func (w *warningEntry) when() string {
	switch {
	case !w.start.placed:
		return ""
	case w.Start == w.End || w.End == (instant{}).Moment:
		return w.start.clock()
	default:
		return w.start.clock() + " to " + w.end.clock()
	}
}

// timeUnit heads a column of times.
func (s *Sheet) timeUnit() string {
	for i := range s.passes {
		if s.passes[i].start.dated {
			return "UTC"
		}
	}
	return "s"
}

func (s *Sheet) heatWindow(u Units) string {
	set := u.set()
	return rangeText(s.job.Procedure.Limits.HeatInput, set.heat, set.heatDigits)
}
