package paper

import (
	"fmt"

	"arctally/analyze/bore"
	"arctally/report/draw"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
)

// recordKind is what the document is.
const recordKind = "Weld record"

// front is above the first section.
type front struct {
	Glyph               *draw.Drawing
	Kind, Title, Record string
	// Fingerprint is that of the record; where there is none, the other words say so.
	Fingerprint, NoFingerprint string
}

func (r *record) front() *front {
	f := &front{
		Glyph: draw.Glyph(r.Sheet), Kind: recordKind, Title: sheet.OrDash(r.Job.Name), Record: "Record " + sheet.OrDash(r.Record),
		Fingerprint: r.Fingerprint, NoFingerprint: "No fingerprint was taken of this record.",
	}
	if !r.Made.IsZero() {
		f.Record += " · made " + sheet.Minute(r.Made)
	}
	return f
}

func (f *front) print(d *layout.Document) {
	d.Beside(f.Glyph, 32, func() {
		d.Space(3)
		d.Kind(f.Kind)
		d.Paragraph(f.Title, layout.Look{Size: 21, Bold: true})
		d.Small(f.Record)
		if f.Fingerprint == "" {
			d.Small(f.NoFingerprint)
		} else {
			d.Paragraph("Fingerprint "+f.Fingerprint, layout.Look{Size: 7, Mono: true, Grey: true})
		}
	})
}

func (r *record) verdict() *section {
	s := &section{Heading: "Verdict", Class: "verdict", blocks: []block{headline{draw.Sign(r.Sign()), r.Headline()}, counts(r.Verdicts())}}
	for _, answer := range r.answers() {
		s.blocks = append(s.blocks, sentence(answer))
	}
	s.blocks = append(s.blocks, note("Judged: "+r.Definition()+"."))
	return s
}

// answers are what the program says of the job, below the headline.
func (r *record) answers() []string {
	lines := []string{r.FindingsLine(), r.ProofSummary()}
	if r.Wall != nil {
		lines = append(lines, r.CleanUp(bore.DefaultEccentricity, r.units).Answer)
	}
	if m := r.Book.Machining(); m != nil {
		lines = append(lines, machinedHeading+": "+sheet.MachinedSentence(m.Machining, r.units))
	}
	return lines
}

// counts are how many passes have each verdict.
type counts []sheet.Verdict

func (counts) kind() string { return "counts" }

func (c counts) print(d *layout.Document) {
	printed := make([]layout.Count, len(c))
	for k, v := range c {
		printed[k] = layout.Count{Mark: draw.Sign(v.Sign), Number: fmt.Sprint(v.Passes), Words: v.Sentence}
	}
	d.Counts(printed)
}

// Icons are the signs of the verdicts, for the page.
func (c counts) Icons() (icons []*draw.Drawing) {
	for _, v := range c {
		icons = append(icons, draw.Sign(v.Sign))
	}
	return icons
}

func (r *record) job() *section {
	return &section{Heading: "The job", blocks: []block{facts(r.FactGroups(r.units))}}
}

// facts are values with their names, two groups side by side.
type facts []sheet.FactGroup

func (facts) kind() string { return "facts" }

func (f facts) print(d *layout.Document) {
	column := func(g sheet.FactGroup) func() {
		return func() {
			d.Strong(g.Title)
			printed := make([]layout.Fact, len(g.Facts))
			for k, one := range g.Facts {
				printed[k] = layout.Fact{Label: one.Label, Value: one.Value}
			}
			d.Facts(printed)
		}
	}
	for k := 0; k < len(f); k += 2 {
		d.Columns(column(f[k]), column(f[min(k+1, len(f)-1)]))
	}
}
