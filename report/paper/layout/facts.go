package layout

import "strings"

func words(text string) []string { return strings.Fields(safe(text)) }

// Fact is a value with its name.
type Fact struct{ Label, Value string }

// Facts writes values below one another, each with its name at the left.
func (d *Document) Facts(facts []Fact) {
	label, value := Look{Size: 8.5, Grey: true}, Look{Size: 8.5, Bold: true}
	left := 0.0
	for _, f := range facts {
		left = max(left, min(d.width*0.45, d.measure(f.Label, label)))
	}
	for _, f := range facts {
		labels := d.wrap(f.Label, label, left+0.01)
		values := d.wrap(f.Value, value, d.width-left-3)
		height := float64(max(len(labels), len(values))) * value.line()
		d.need(height)
		for k, line := range labels {
			d.say(d.x, d.y+(float64(k)+0.78)*value.line(), line, label)
		}
		for k, line := range values {
			d.say(d.x+d.width-d.measure(line, value), d.y+(float64(k)+0.78)*value.line(), line, value)
		}
		d.y += height + 0.4
		d.rule(0.12, inkRule)
		d.y += 0.5
	}
	d.y += 1.5
}

// Count is a number with a mark above its words.
type Count struct{ Mark, Number, Words string }

// Counts writes numbers side by side in boxes.
func (d *Document) Counts(counts []Count) {
	number, small := Look{Size: 16, Bold: true}, Look{Size: 8}
	width := d.width / float64(len(counts))
	height := 0.0
	for _, c := range counts {
		height = max(height, 9.5+float64(len(d.wrap(c.Words, small, width-4)))*small.line()+1.5)
	}
	d.need(height)
	if !d.dry {
		for k, c := range counts {
			d.count(c, d.x+float64(k)*width, width, height, number, small)
		}
	}
	d.y += height + 3
}

func (d *Document) count(c Count, x, width, height float64, number, small Look) {
	d.stroke(0.2, inkRule)
	d.pdf.Rect(x, d.y, width, height, "D")
	d.paint(c.Mark, x+2, d.y+2.6, 4.2, 4.2)
	d.say(x+8, d.y+7, c.Number, number)
	for k, line := range d.wrap(c.Words, small, width-4) {
		d.say(x+2, d.y+9.5+(float64(k)+0.78)*small.line(), line, small)
	}
}

// Headline writes the most important sentence of a document, with its mark.
func (d *Document) Headline(mark, text string) {
	look := Look{Size: 15, Bold: true}
	lines := d.wrap(text, look, d.width-10)
	d.need(float64(len(lines)) * look.line())
	if !d.dry {
		d.paint(mark, d.x, d.y+0.6, 6.4, 6.4)
	}
	for _, line := range lines {
		d.say(d.x+10, d.y+look.line()*0.78, line, look)
		d.y += look.line()
	}
	d.y += 2
}

// Signatures writes lines to sign on, one to a row: name, signature, date.
func (d *Document) Signatures(roles []string) {
	small := Look{Size: 8, Grey: true}
	for _, role := range roles {
		d.need(19)
		x, y := d.x, d.y+12.5
		d.say(x, y, role, Look{Size: 9.5, Bold: true})
		for _, field := range []struct {
			words       string
			from, until float64
		}{{"name", 0.22, 0.52}, {"signature", 0.55, 0.82}, {"date", 0.85, 1}} {
			if !d.dry {
				d.stroke(0.3, inkBlack)
				d.pdf.Line(x+field.from*d.width, y+0.8, x+field.until*d.width, y+0.8)
			}
			d.say(x+field.from*d.width, y+4.6, field.words, small)
		}
		d.y += 19
	}
}

// Framed writes something in a frame.
func (d *Document) Framed(write func()) {
	d.Keep(func() {
		x, y, width := d.x, d.y, d.width
		d.x, d.y, d.width = x+4, y+4, width-8
		page := d.pdf.PageNo()
		write()
		d.x, d.width = x, width
		d.y += 2
		if !d.dry && d.pdf.PageNo() == page {
			d.stroke(0.9, inkBlack)
			d.pdf.Rect(x, y, width, d.y-y, "D")
		}
		d.y += 2
	})
}

// Key is a word of a legend with its drawing.
type Key struct {
	Drawing, Words string
	Large          bool
}

// Keys writes a legend, as many words to a line as fit.
func (d *Document) Keys(keys []Key) {
	look := Look{Size: 8}
	x, size := 0.0, 3.6
	for k, key := range keys {
		if key.Large {
			size, look.Size = 5.4, 8.5
		}
		room := 0.0
		if key.Drawing != "" {
			room = size + 1.4
		}
		width := room + d.measure(key.Words, look) + 5
		if x > 0 && x+width > d.width+5 {
			x = 0
			d.y += size + 1.2
		}
		if k == 0 || x == 0 {
			d.need(size + 1.2)
		}
		if key.Drawing != "" {
			d.paint(key.Drawing, d.x+x, d.y, size, size)
		}
		d.say(d.x+x+room, d.y+size*0.5+look.Size*point*0.36, key.Words, look)
		x += width
	}
	d.y += size + 1.6
}
