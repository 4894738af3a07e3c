package paper

import (
	"bytes"
	"fmt"
	"io"

	"arctally/report/paper/layout"
	"arctally/report/sheet"
)

// PDF writes the weld record on paper: the same values and drawings as HTML.
// The only date in the file is the end of the last pass, so that the same record
// always gives the same bytes.
func PDF(w io.Writer, s *sheet.Sheet, u sheet.Units, format layout.Format) error {
	css, err := templates.ReadFile("template/style.css")
	if err != nil {
		return fmt.Errorf("write weld record: %w", err)
	}
	p := &printed{v: newRecordView(s.In(u))}
	options := layout.Options{
		Format: format, Title: "Weld record: " + p.v.Job, Foot: p.v.Job + "  ·  " + p.v.Mark, Style: layout.ParseStyle(string(css)),
	}
	if n := len(s.Passes); n > 0 {
		options.Made = s.Passes[n-1].Ended.Wall
	}
	p.Document = layout.New(options)
	p.all()
	if p.err != nil {
		return fmt.Errorf("write weld record: %w", p.err)
	}
	if err := p.Write(w); err != nil {
		return fmt.Errorf("write weld record: %w", err)
	}
	return nil
}

// printed is a weld record on its way to the printer.
type printed struct {
	*layout.Document
	v   recordView
	err error
}

func (p *printed) all() {
	for _, section := range []func(){
		p.cover, p.window, p.instruments, p.planDone, p.passes, p.charts, p.proof, p.bore, p.findings, p.photographs, p.open,
		p.machining, p.byAngle, p.waveform, p.typedIn, p.methods, p.notKnown, p.cautions, p.lastPage,
	} {
		section()
	}
}

// draw renders a drawing of the page.
func (p *printed) draw(name string, view any) string {
	var b bytes.Buffer
	if err := weldRecord.ExecuteTemplate(&b, name, view); err != nil && p.err == nil {
		p.err = err
	}
	return b.String()
}

func (p *printed) mark(sign string) string { return p.draw("sign", sign) }

func (p *printed) cover() {
	v := &p.v
	p.Beside(p.draw("glyph", v.Glyph), 32, func() {
		p.Space(3)
		p.Kind("Weld record")
		p.Paragraph(v.Job, layout.Look{Size: 21, Bold: true})
		p.Small("Record " + v.Record + madeText(v.Made))
		if v.Fingerprint == "" {
			p.Small("No fingerprint was taken of this record.")
		} else {
			p.Paragraph("Fingerprint "+v.Fingerprint, layout.Look{Size: 7, Mono: true, Grey: true})
		}
	})
	p.Heading("Verdict")
	p.Headline(p.mark(v.Sign), v.Headline)
	counts := make([]layout.Count, len(v.Counts))
	for k, c := range v.Counts {
		counts[k] = layout.Count{Mark: p.mark(c.Sign), Number: fmt.Sprint(c.Count), Words: c.Words}
	}
	p.Counts(counts)
	for _, answer := range v.Answers {
		p.Text(answer)
	}
	p.Small(trimmed("Judged: " + v.Definition + ". " + v.UnitNote))
	p.Heading("The job")
	for k := 0; k < len(v.Cover); k += 2 {
		p.Columns(p.facts(v.Cover[k]), p.facts(v.Cover[min(k+1, len(v.Cover)-1)]))
	}
}

func madeText(made string) string {
	if made == "" {
		return ""
	}
	return "  ·  made " + made
}

func (p *printed) facts(g sheet.FactGroup) func() {
	return func() {
		p.Strong(g.Title)
		facts := make([]layout.Fact, len(g.Facts))
		for k, f := range g.Facts {
			facts[k] = layout.Fact{Label: f.Label, Value: f.Value}
		}
		p.Facts(facts)
	}
}

// head is a head of one line.
func head(text string) []layout.Part { return []layout.Part{{Text: text, Bold: true}} }

func left(text string) layout.Column { return layout.Column{Head: head(text)} }

func right(text string) layout.Column { return layout.Column{Head: head(text), Right: true} }

func cells(texts ...string) []layout.Cell {
	row := make([]layout.Cell, len(texts))
	for k, text := range texts {
		row[k] = layout.Cell{{Text: text}}
	}
	return row
}

func strong(text string) layout.Cell { return layout.Cell{{Text: text, Bold: true}} }
