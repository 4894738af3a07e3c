package paper

import (
	"fmt"

	"arctally/report/draw"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
)

func (p *printed) bore() {
	first := func() { p.Text("This job has no bore to draw; the findings stand in the list.") }
	maps := p.v.Maps
	switch b := p.v.Bore; {
	case len(maps) > 0:
		stock := maps[0]
		first, maps = func() { p.wallMap(stock) }, maps[1:]
	case b != nil:
		first = func() {
			p.Drawing(p.draw("flat", b.Unrolled))
			p.Small(trimmed(flatNote + " " + b.Unrolled.Extra))
		}
	}
	p.Keep(func() {
		p.Heading("The bore")
		first()
	})
	for _, m := range maps {
		p.wallMap(m)
	}
	if b := p.v.Bore; b != nil {
		p.Beside(p.draw("end", b.End), 74, func() {
			p.shapes(b)
			p.Small(trimmed(p.v.EndNote + " " + b.End.Extra))
		})
	}
	p.cleanUp(p.v.Clean)
}

func (p *printed) wallMap(m *draw.Map) {
	p.Keep(func() {
		p.Strong(m.Title)
		p.Drawing(p.draw("map", m))
		var keys []layout.Key
		for _, s := range m.Shades {
			if s.Path != "" {
				keys = append(keys, layout.Key{Drawing: p.draw("shade", s), Words: s.Words})
			}
		}
		p.Keys(keys)
		p.Small(trimmed(m.Note + " " + p.v.MapNote + " " + m.Extra))
	})
}

func (p *printed) cleanUp(c *cleanView) {
	if c == nil {
		return
	}
	p.Subheading("Will it clean up")
	p.Strong(c.Answer)
	for _, place := range c.Places {
		p.Keep(func() {
			p.Text(place.Head)
			p.List(place.Lines[:1])
		})
		p.List(place.Lines[1:])
	}
	p.List(c.Cautions)
}

func (p *printed) findings() {
	p.Heading("Findings and what was decided")
	if len(p.v.Findings) == 0 {
		p.Text("None.")
	} else {
		p.findingTable()
	}
	p.List(p.v.Orphans)
}

func (p *printed) findingTable() {
	t := layout.Table{Size: 8, Columns: []layout.Column{
		{Head: head("No."), Least: 13},
		{Head: head("Place"), Least: 24},
		{Head: head("What"), Least: 52},
		{Head: head("How far out"), Least: 33},
		{Head: head("Disposition"), Boxed: true, Least: 46},
	}}
	for _, f := range p.v.Findings {
		t.Rows = append(t.Rows, p.findingRow(f))
	}
	p.Table(t)
}

func (p *printed) shapes(b *boreView) {
	if len(b.Shapes) == 0 {
		p.Text("No finding has a place to mark.")
	} else {
		for _, s := range b.Shapes {
			p.Keys([]layout.Key{{Drawing: p.draw("key", s), Words: s.Words, Large: true}})
		}
		p.Space(1)
		p.Small(p.v.PinNote)
	}
	if b.Unplaced != "" {
		p.Strong("Place not known: " + b.Unplaced + ".")
	}
}

func (p *printed) findingRow(f findingLine) []layout.Cell {
	decided := layout.Cell{{Text: f.State, Bold: true}}
	for _, line := range f.Disposition {
		decided = append(decided, layout.Part{Text: line})
	}
	for len(decided) < 4 { // room to write in
		decided = append(decided, layout.Part{Text: " "})
	}
	return []layout.Cell{
		{{Text: fmt.Sprint(f.Number), Bold: true, Mark: p.draw("pinmark", f)}},
		{{Text: f.Place, Bold: true}, {Text: f.Pass}, {Text: f.When}},
		{{Text: f.Rule, Bold: true}, {Text: f.Sentence}},
		{{Text: f.Beyond, Bold: true}, {Text: "worst " + f.Worst + ", limit " + f.Limit}, {Text: "for " + f.Duration}},
		decided,
	}
}

func (p *printed) photographs() {
	if len(p.v.Photographs) == 0 {
		return
	}
	var pictures []layout.Picture
	for _, v := range p.v.Photographs {
		words := []layout.Part{{Text: v.Title, Bold: true}}
		if v.Caption != "" {
			words = append(words, layout.Part{Text: v.Caption})
		}
		for _, also := range v.Also {
			words = append(words, layout.Part{Text: "Also " + also})
		}
		words = append(words, layout.Part{Text: "SHA-256 " + v.SHA256, Mono: true, Grey: true})
		pictures = append(pictures, layout.Picture{Name: v.SHA256, Content: v.content, Words: words, Missing: v.Why})
	}
	first := min(3, len(pictures))
	p.Keep(func() {
		p.Subheading("Photographs")
		p.Pictures(pictures[:first])
	})
	p.Pictures(pictures[first:])
}

func (p *printed) open() {
	p.Subheading("What is open")
	if len(p.v.Open) == 0 {
		p.Text("Nothing.")
	} else {
		t := layout.Table{Size: 8, Columns: []layout.Column{left("No."), left("What"), left("Place"), left("State"), left("Last entry")}}
		for _, o := range p.v.Open {
			row := cells(o.Number, o.Rule, o.Place+", "+o.Pass, o.State, o.Last)
			row[0] = strong(o.Number)
			t.Rows = append(t.Rows, row)
		}
		p.Table(t)
	}
	p.Text(p.v.FindingsLine)
}

func (p *printed) machining() {
	if len(p.v.Machining) == 0 {
		p.Heading("After machining")
		p.Text("No final measurement is on record.")
	}
	for k, m := range p.v.Machining {
		p.Keep(func() {
			if k == 0 {
				p.Heading("After machining")
			}
			p.measured(m)
		})
	}
}

// measured writes one final measurement.
func (p *printed) measured(m sheet.MachiningView) {
	p.Subheading(m.Title)
	p.Strong(m.CleanedUp)
	for _, line := range m.Lines {
		p.Text(line)
	}
	if len(m.Stations) == 0 {
		return
	}
	t := layout.Table{Narrow: true, Columns: []layout.Column{right("Depth, " + m.DepthUnit), right("Angle, deg"), right("Diameter, " + m.Unit)}}
	for _, at := range m.Stations {
		t.Rows = append(t.Rows, cells(at.Depth, at.Angle, at.Diameter))
	}
	p.Table(t)
}

func (p *printed) byAngle() {
	if len(p.v.ByAngle) == 0 {
		return
	}
	p.Keep(func() {
		p.Heading("Current by angle")
		p.Small(p.v.AngleNote)
		p.angles(0)
	})
	for first := 3; first < len(p.v.ByAngle); first += 3 {
		p.angles(first)
	}
}

// angles draws three sweeps side by side.
func (p *printed) angles(first int) {
	columns := make([]func(), 3)
	for k := range columns {
		columns[k] = func() {
			if first+k < len(p.v.ByAngle) {
				p.angle(p.v.ByAngle[first+k])
			}
		}
	}
	p.Columns(columns...)
}

func (p *printed) angle(v draw.Angle) {
	p.Paragraph(v.Title, layout.Look{Size: 7.2, Bold: true})
	p.Drawing(p.draw("byangle", v))
	for _, line := range v.Lines {
		p.Small(line)
	}
}
