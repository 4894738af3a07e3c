package paper

import (
	"fmt"

	"arctally/report/draw"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
)

func (p *printed) window() { p.Keep(p.windowTable) }

func (p *printed) windowTable() {
	p.Heading("Procedure window")
	t := layout.Table{Columns: []layout.Column{left("Quantity"), left("Window"), left("Set to"), left("Pass values, lowest to highest"), right("Findings")}}
	for _, w := range p.v.Window {
		row := cells(w.Quantity, w.Window, w.SetTo, w.Seen, fmt.Sprint(w.Findings))
		row[0] = strong(w.Quantity)
		t.Rows = append(t.Rows, row)
	}
	p.Table(t)
	p.Small(p.v.Rule)
}

func (p *printed) instruments() {
	p.Heading("Instruments and set-up checks")
	t := layout.Table{Size: 8, Columns: []layout.Column{
		left("Channel"), left("Correction"), left("Standard uncertainty"), left("Calibrated"), left("Due"), left("Certificate"), left("State"),
	}}
	for _, i := range p.v.Instruments {
		row := cells(i.Channel, i.Correction, i.Uncertainty, i.Date, i.Due, i.Certificate, i.Status)
		row[0] = strong(i.Channel)
		row[6][0].Bold = i.Missing
		t.Rows = append(t.Rows, row)
	}
	p.Table(t)
	p.Subheading("Set-up checks")
	if len(p.v.Checks) == 0 {
		p.Text("No set-up check is on record.")
		return
	}
	t = layout.Table{Size: 8, Columns: []layout.Column{left("Check"), left("When"), {Head: head("By"), Least: 16}, left("Instrument"), left("Due"), left("What came out")}}
	for _, c := range p.v.Checks {
		row := cells(c.What, c.When, c.By, c.Tool, c.Due, c.Result+". It "+c.Holds+".")
		row[0] = strong(c.What)
		t.Rows = append(t.Rows, row)
	}
	p.Table(t)
}

func (p *printed) planDone() { p.Keep(p.planDoneTable) }

func (p *printed) planDoneTable() {
	p.Heading("Planned and done")
	if p.v.PlanDone.Why != "" {
		p.Text(p.v.PlanDone.Why)
	}
	t := layout.Table{Columns: []layout.Column{left("Quantity"), left("Planned"), left("Done")}}
	for _, r := range p.v.PlanDone.Rows {
		row := cells(r.Quantity, r.Planned, r.Done)
		row[0] = strong(r.Quantity)
		t.Rows = append(t.Rows, row)
	}
	p.Table(t)
	p.List(p.v.PlanDone.Layers)
}

// twoLine is the head of a column that has two figures to a cell.
func twoLine(h passHead) layout.Column {
	c := layout.Column{Right: true, Head: []layout.Part{{Text: h.Name, Bold: true}, {Text: orSpace(h.Unit)}, {Text: h.SubName + unitBehind(h.SubUnit), Grey: true}}}
	return c
}

func orSpace(text string) string {
	if text == "" {
		return " "
	}
	return text
}

func unitBehind(unit string) string {
	if unit == "" {
		return ""
	}
	return " " + unit
}

func twoFigures(all []cell) []layout.Cell {
	row := make([]layout.Cell, len(all))
	for k, c := range all {
		row[k] = layout.Cell{{Text: c.Main, Bold: k == 0}, {Text: c.Sub, Grey: true}}
	}
	return row
}

// fewRows is what a table may have to be kept on one page.
const fewRows = 8

func (p *printed) passes() {
	if len(p.v.Passes) <= fewRows {
		p.Keep(p.passTable)
	} else {
		p.passTable()
	}
}

func (p *printed) passTable() {
	p.Heading("Passes")
	if len(p.v.Passes) == 0 {
		p.Text("No pass was found in this record.")
		return
	}
	p.Small(p.v.PassNote)
	t := layout.Table{Size: 7.4}
	for _, h := range p.v.PassHead {
		t.Columns = append(t.Columns, twoLine(h))
	}
	t.Columns = append(t.Columns, layout.Column{Head: []layout.Part{{Text: "Verdict", Bold: true}, {Text: " "}, {Text: "findings", Grey: true}}})
	for _, l := range p.v.Passes {
		finds := "none"
		if l.Finds > 0 {
			finds = fmt.Sprint(l.Finds)
		}
		t.Rows = append(t.Rows, append(twoFigures(l.Cells), layout.Cell{{Text: l.Verdict, Mark: p.mark(l.Sign)}, {Text: finds, Grey: true}}))
	}
	p.Table(t)
}

func (p *printed) charts() {
	if p.v.Heat == nil {
		p.Heading("Pass by pass")
		p.Text("No heat input is known for any pass.")
	} else {
		p.Keep(func() {
			p.Heading("Pass by pass")
			p.chart(p.v.Heat)
			p.Keys([]layout.Key{
				{Drawing: p.mark(sheet.SignWithin), Words: "within"},
				{Drawing: p.mark(sheet.SignNear), Words: "within, near limit"},
				{Drawing: p.mark(sheet.SignNearOut), Words: "outside, near limit"},
				{Drawing: p.mark(sheet.SignOutside), Words: "outside"},
				{Drawing: p.mark(sheet.SignUnjudged), Words: "not judged"},
				{Words: "? not known"},
				{Words: "bars: expanded uncertainty"},
				{Words: "shaded: the window"},
				{Words: "hatched: closer to a limit than the guard band"},
			})
		})
	}
	for k := 0; k < len(p.v.Strips); k += 2 {
		second := func() {}
		if k+1 < len(p.v.Strips) {
			second = func() { p.chart(p.v.Strips[k+1]) }
		}
		p.Keep(func() {
			p.Columns(func() { p.chart(p.v.Strips[k]) }, second)
			if k+2 >= len(p.v.Strips) {
				p.Small(p.v.ArcOnNote)
			}
		})
	}
}

func (p *printed) chart(s *draw.Strip) {
	title := s.Title
	if s.Unit != "" {
		title += ", " + s.Unit
	}
	p.Keep(func() {
		p.Strong(title)
		p.Drawing(p.draw("strip", s))
	})
}

func (p *printed) proof() {
	v := &p.v.Proof
	p.Heading("What the record proves")
	p.Headline(p.mark(v.Sign), v.Summary)
	p.Text("Claim: " + v.Claim + ".")
	if len(v.Passes) > 0 {
		t := layout.Table{Size: 8, Narrow: true, Columns: []layout.Column{
			left("Pass"), right("Judged, " + v.Unit), right("± U, " + v.Unit), right("Probability within"), right("Covers, % of the bore"),
			left("Proved"),
		}}
		for _, l := range v.Passes {
			row := cells(l.Number, l.Value, l.Expanded, l.Chance, l.Covers, l.Proved)
			row[0], row[5][0].Mark = strong(l.Number), p.mark(l.Sign)
			t.Rows = append(t.Rows, row)
		}
		p.Table(t)
	}
	p.listUnder("Why not", v.Reasons)
	p.listUnder("What would close it", v.Missing)
	p.listUnder("What it rests on", v.Remarks)
	p.Small("Rule: " + v.Rule + ". " + v.Note)
	p.Keep(func() { p.budget(v.Budget) })
}

func (p *printed) listUnder(head string, lines []string) {
	if len(lines) > 0 {
		p.Subheading(head)
		p.List(lines)
	}
}

func (p *printed) budget(b *budgetView) {
	if b == nil {
		return
	}
	p.Subheading(b.Title)
	t := layout.Table{Size: 8, Columns: []layout.Column{
		left("Component"), right("Standard uncertainty"), right("Share of variance"), left("Distribution"), right("Degrees of freedom"), left("Basis"), left("Source"),
	}}
	for _, l := range b.Lines {
		row := cells(l.Name, l.Uncertainty, l.Share, l.Distribution, l.Freedom, l.Basis, l.Source)
		row[0] = strong(l.Name)
		t.Rows = append(t.Rows, row)
	}
	p.Table(t)
	p.Small(b.Sum)
}
