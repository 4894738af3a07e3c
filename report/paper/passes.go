package paper

import (
	"fmt"
	"strconv"
	"strings"

	"arctally/analyze/pass"
	"arctally/report/draw"
	"arctally/report/sheet"
)

// fewRows is what a table may have to be kept on one sheet.
const fewRows = 8

func (r *record) passes() *section {
	s := &section{Heading: "Passes", blocks: []block{sentence("No pass was found in this record.")}}
	if len(r.Passes) > 0 {
		explained := note("A dash stands for what is not known; means are over arc time; Q is the heat input with its expanded uncertainty U (k = 2), E the arc energy; " +
			r.TimeNote() + ".")
		s.blocks = []block{counts(r.Verdicts()), note("Judged: " + r.Definition() + "."), onPaper{explained}, r.passTable(), onPage{explained}} // a table over several sheets is explained before it
	}
	if len(r.Passes) <= fewRows {
		return s.all()
	}
	return s
}

func (r *record) passTable() *table {
	t := &table{Class: "passes", size: 7.4, Columns: figures(
		column{Name: "Pass", SubName: "layer"},
		column{Name: "Start", SubName: "date"},
		column{Name: "Arc time", Unit: "s", SubName: "elapsed", SubUnit: "s"},
		column{Name: "Arc-on", SubName: "planned"},
		column{Name: "Voltage", Unit: "V", SubName: "current", SubUnit: "A"},
		column{Name: "Power", Unit: "W", SubName: "basis"},
		column{Name: "Energy", Unit: "kJ", SubName: "no data", SubUnit: "s"},
		column{Name: "Wire", Unit: r.set.Wire.Name, SubName: "deposit", SubUnit: r.set.Mass.Name},
		column{Name: "Travel", Unit: r.set.Length.Name, SubName: "turns"},
		column{Name: "Speed", Unit: r.set.Travel.Name, SubName: "basis"},
		column{Name: "Q", Unit: r.set.Heat.Name, SubName: "± U"},
		column{Name: "E", Unit: r.set.Heat.Name, SubName: "\u00a0"},
	)}
	t.Columns = append(t.Columns, column{Name: "Verdict", SubName: "findings", Class: "v"})
	for i := range r.Passes {
		t.Rows = append(t.Rows, r.passRow(&r.Passes[i]))
	}
	return t
}

// figures are columns of figures, each below the other.
func figures(columns ...column) []column {
	for k := range columns {
		columns[k].right = true
	}
	return columns
}

func (r *record) passRow(p *sheet.Pass) row {
	verdict, found := sheet.VerdictOf(p.Verdict), "none"
	if p.Findings > 0 {
		found = strconv.Itoa(p.Findings)
	}
	cells := []cell{
		two(strconv.Itoa(p.Number), sheet.Count(p.Layer)),
		two(p.Began.Clock(), p.Began.Date()),
		two(sheet.Digits(sheet.Plain(&p.ArcTime), 2), sheet.Digits(sheet.Plain(&p.Elapsed), 2)),
		two(sheet.Digits(p.KnownArcOn(), 3), sheet.Digits(p.KnownPlan(), 3)),
		two(sheet.Digits(sheet.Plain(p.VoltageMean), 2), sheet.Digits(sheet.Plain(p.CurrentMean), 1)),
		two(sheet.Digits(sheet.Plain(p.PowerMean), 0), orDash(p.KnownPowerBasis())),
		two(sheet.Digits(sheet.Thousandth(p.KnownEnergy()), 2), sheet.Digits(sheet.Plain(&p.GapTime), 2)),
		two(sheet.Show(p.Wire, r.set.Wire), sheet.Show(p.Deposit, r.set.Mass)),
		two(sheet.Show(p.Travel, r.set.Length), sheet.Digits(sheet.Finite(p.Turns), 2)+courseWords(p)),
		two(sheet.Show(p.TravelSpeed, r.set.Travel), orDash(p.KnownTravelBasis())),
		two(sheet.Show(p.HeatInput, r.set.Heat), plusMinus(sheet.Show(p.ExpandedUncertainty, r.set.Heat))),
		two(sheet.Show(p.ArcEnergy, r.set.Heat), ""),
		{{Text: verdict.Words, Mark: draw.Sign(verdict.Sign)}, {Text: found, Grey: true}},
	}
	cells[0][0].Bold = true
	return row{ID: "pass-" + strconv.Itoa(p.Number), Cells: cells}
}

func plusMinus(digits string) string {
	if digits == sheet.Dash {
		return digits
	}
	return "± " + digits
}

func orDash(word *string) string {
	if word == nil {
		return sheet.Dash
	}
	return *word
}

// courseWords say how a pass departs from its plan; empty for a pass as planned.
func courseWords(p *sheet.Pass) string {
	words := []string{""}
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
	return strings.Join(words, ", ")
}

// charts shows the heat input and what it is made of, pass by pass.
func (r *record) charts() *section {
	s := &section{Heading: "Pass by pass"}
	if heat := draw.Heat(r.Sheet, r.units); heat != nil {
		marks := legend{}
		for _, v := range r.Verdicts() {
			marks = append(marks, draw.Key{Icon: draw.Sign(v.Sign), Words: v.Words})
		}
		for _, words := range []string{"? not known", "bars: expanded uncertainty", "shaded: the window", "hatched: closer to a limit than the guard band"} {
			marks = append(marks, draw.Key{Words: words})
		}
		s.blocks, s.kept = []block{chart{heat, true}, marks}, 2
	} else {
		s.blocks = []block{sentence("No heat input is known for any pass.")}
	}
	small := charts{Note: "Arc-on ratio: the short line is the ratio that the plan has; dashed is the least that the procedure's tolerance allows, where all passes have one plan."}
	for _, figure := range draw.Charts(r.Sheet, r.units) {
		small.Figures = append(small.Figures, chart{Figure: figure})
	}
	s.blocks = append(s.blocks, small)
	return s
}
