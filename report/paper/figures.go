package paper

import (
	"html/template"
	"strings"

	"arctally/report/draw"
	"arctally/report/paper/layout"
)

// chart is a figure over the passes.
type chart struct {
	*draw.Figure
	Large bool // too wide for a phone, so it scrolls there
}

func (chart) kind() string { return "chart" }

func (c chart) print(d *layout.Document) {
	title := c.Title
	if c.Unit != "" {
		title += ", " + c.Unit
	}
	d.Keep(func() {
		d.Strong(title)
		d.Drawing(c.Drawing)
	})
}

// charts stand two to a row, with a note below the last of them.
type charts struct {
	Figures []chart
	Note    string
}

func (charts) kind() string { return "charts" }

func (c charts) print(d *layout.Document) {
	for k := 0; k < len(c.Figures); k += 2 {
		second := func() {}
		if k+1 < len(c.Figures) {
			second = func() { c.Figures[k+1].print(d) }
		}
		d.Keep(func() {
			d.Columns(func() { c.Figures[k].print(d) }, second)
			if k+2 >= len(c.Figures) {
				d.Small(c.Note)
			}
		})
	}
}

// legend explains the marks of a chart.
type legend []draw.Key

func (legend) kind() string               { return "legend" }
func (l legend) print(d *layout.Document) { d.Keys(l) }

// wallMap is a layer of the unrolled wall.
type wallMap struct {
	draw.Figure
	Note string
}

func (wallMap) kind() string { return "wallmap" }

func (m wallMap) print(d *layout.Document) {
	d.Keep(func() {
		d.Strong(m.Title)
		d.Drawing(m.Drawing)
		d.Keys(m.Keys)
		d.Small(m.Note)
	})
}

// flatWall is the wall where there is no map of it.
type flatWall struct {
	draw.Figure
	Note string
}

func (flatWall) kind() string { return "flatwall" }

func (f flatWall) print(d *layout.Document) {
	d.Drawing(f.Drawing)
	d.Small(f.Note)
}

// endView is the bore along its axis, with words beside it. On the page the flat wall
// stands with it.
type endView struct {
	draw.Figure
	Note   string
	Flat   *flatWall
	beside []block
}

func (*endView) kind() string { return "endview" }

func (e *endView) print(d *layout.Document) {
	d.Beside(e.Drawing, 74, func() {
		printAll(d, e.beside)
		d.Small(e.Note)
	})
}

// Beside renders the words, for the page.
func (e *endView) Beside() (template.HTML, error) { return render(e.beside...) }

// pinLegend explains the shapes of the findings.
type pinLegend []draw.Key

func (pinLegend) kind() string { return "pinlegend" }

func (l pinLegend) print(d *layout.Document) {
	for _, key := range l {
		d.LargeKey(key)
	}
	d.Space(1)
}

// sweeps are the current by angle, three to a row.
type sweeps []draw.Figure

// sweepsAcross is how many stand side by side on paper.
const sweepsAcross = 3

func (sweeps) kind() string                    { return "sweeps" }
func (s sweeps) print(d *layout.Document)      { s.printFirst(d); s.printRest(d) }
func (s sweeps) printFirst(d *layout.Document) { s.printRow(d, 0) }

func (s sweeps) printRest(d *layout.Document) {
	for first := sweepsAcross; first < len(s); first += sweepsAcross {
		s.printRow(d, first)
	}
}

func (s sweeps) printRow(d *layout.Document, first int) {
	columns := make([]func(), sweepsAcross)
	for k := range columns {
		columns[k] = func() {
			if first+k >= len(s) {
				return
			}
			f := s[first+k]
			d.Paragraph(f.Title, layout.Look{Size: 7.2, Bold: true})
			d.Drawing(f.Drawing)
			for _, line := range f.Lines {
				d.Small(line)
			}
		}
	}
	d.Columns(columns...)
}

// joined puts sentences behind one another; those without words leave no gap.
func joined(sentences ...string) string {
	return strings.Join(strings.Fields(strings.Join(sentences, " ")), " ")
}
