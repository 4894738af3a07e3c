package layout

import (
	"strings"

	"arctally/report/draw"
)

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
		d.rule(0.12, d.thin)
		d.y += 0.5
	}
	d.y += 1.5
}

// Count is a number with a mark above its words.
type Count struct {
	Mark          *draw.Drawing
	Number, Words string
}

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
	d.stroke(0.2, d.thin)
	d.pdf.Rect(x, d.y, width, height, "D")
	d.paint(c.Mark, x+2, d.y+2.6, 4.2, 4.2)
	d.say(x+8, d.y+7, c.Number, number)
	for k, line := range d.wrap(c.Words, small, width-4) {
		d.say(x+2, d.y+9.5+(float64(k)+0.78)*small.line(), line, small)
	}
}

// Headline writes the most important sentence of a document, with its mark.
func (d *Document) Headline(mark *draw.Drawing, text string) {
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

// signatureHeight leaves room to write by hand, mm.
const signatureHeight = 13.0

// Signatures writes lines to sign on, one role to a row, with what stands below each
// of its three lines: of a name, a signature and a date.
func (d *Document) Signatures(roles []string, below [3]string) {
	small := Look{Size: 8, Grey: true}
	for _, role := range roles {
		d.need(signatureHeight)
		x, y := d.x, d.y+signatureHeight-6.5
		d.say(x, y, role, Look{Size: 9.5, Bold: true})
		for k, line := range [3]struct{ from, until float64 }{{0.22, 0.52}, {0.55, 0.82}, {0.85, 1}} {
			if !d.dry {
				d.stroke(0.3, d.black)
				d.pdf.Line(x+line.from*d.width, y+0.8, x+line.until*d.width, y+0.8)
			}
			d.say(x+line.from*d.width, y+4.6, below[k], small)
		}
		d.y += signatureHeight
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
			d.stroke(0.9, d.black)
			d.pdf.Rect(x, y, width, d.y-y, "D")
		}
		d.y += 2
	})
}

// Keys writes a legend, as many words to a line as fit.
func (d *Document) Keys(keys []draw.Key) { d.keys(keys, 3.6, 8) }

// LargeKey writes one line of a legend whose icons need room.
func (d *Document) LargeKey(key draw.Key) { d.keys([]draw.Key{key}, 5.4, 8.5) }

func (d *Document) keys(keys []draw.Key, size, points float64) {
	look := Look{Size: points}
	x := 0.0
	for k, key := range keys {
		room := 0.0
		if key.Icon != nil {
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
		d.paint(key.Icon, d.x+x, d.y, size, size)
		d.say(d.x+x+room, d.y+size*0.5+look.Size*draw.Point*0.36, key.Words, look)
		x += width
	}
	d.y += size + 1.6
}
