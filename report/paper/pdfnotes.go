package paper

import (
	"strings"

	"arctally/report/paper/layout"
)

func trimmed(text string) string { return strings.Join(strings.Fields(text), " ") }

func (p *printed) waveform() {
	w := p.v.Waveform
	if w == nil {
		return
	}
	p.Heading("Short circuits")
	t := layout.Table{Size: 7.6}
	for _, h := range w.Head {
		t.Columns = append(t.Columns, twoLine(h))
	}
	for _, row := range w.Rows {
		t.Rows = append(t.Rows, twoFigures(row))
	}
	p.Table(t)
	p.Small(p.v.WaveNote + " " + w.Law)
	for _, line := range w.Charts {
		p.Small(line)
	}
}

func (p *printed) typedIn() {
	if len(p.v.TypedIn) == 0 {
		return
	}
	p.Heading("Typed in")
	t := layout.Table{Columns: []layout.Column{left("What"), left("When"), left("By"), left("Stands for")}}
	for _, l := range p.v.TypedIn {
		row := cells(l.What, l.When, l.By, l.For)
		row[0] = strong(l.What)
		t.Rows = append(t.Rows, row)
	}
	p.Table(t)
	p.Small(p.v.TypedNote)
}

func (p *printed) methods() {
	p.Heading("Methods and definitions")
	p.List(p.v.Methods)
}

func (p *printed) notKnown() {
	p.Heading("What the numbers rest on")
	p.List(p.v.Bases)
	p.Subheading("What was not known")
	if len(p.v.Warnings) == 0 {
		p.Text("The measurement raised no doubt.")
		return
	}
	t := layout.Table{Size: 8, Columns: []layout.Column{left("Doubt"), left("Pass"), left("When"), right("Count"), {Head: head("What it means"), Least: 60}}}
	for _, w := range p.v.Warnings {
		row := cells(w.Kind, w.Pass, w.When, w.Count, w.Text)
		row[0] = strong(w.Kind)
		t.Rows = append(t.Rows, row)
	}
	p.Table(t)
}

func (p *printed) cautions() {
	p.Space(4)
	p.Framed(func() {
		p.Paragraph("Cautions", layout.Look{Size: 14.5, Bold: true})
		for _, c := range p.v.Cautions {
			p.Lead(c.Head, c.Text)
		}
	})
}

// lastPage keeps what is signed and what ties it to the record on one page.
func (p *printed) lastPage() {
	p.Keep(func() {
		p.Heading("Signatures")
		p.Text(p.v.SignNote)
		p.Signatures(p.v.Signatures)
		p.Space(3)
		p.Heading("Fingerprint of the record")
		if p.v.Fingerprint != "" {
			p.Paragraph(p.v.Fingerprint, layout.Look{Size: 9, Mono: true})
		}
		for _, line := range p.v.HowToCheck {
			p.Text(line)
		}
	})
}
