package layout

import "arctally/report/draw"

// Rows writes values below one another, each beginning at the same place behind its name.
func (d *Document) Rows(rows []Fact, labelWidth float64) {
	label, value := Look{Size: 8.5, Grey: true}, Look{Size: 8.5, Bold: true}
	for _, row := range rows {
		labels, values := d.wrap(row.Label, label, labelWidth-2), d.wrap(row.Value, value, d.width-labelWidth)
		height := float64(max(len(labels), len(values))) * value.line()
		d.need(height)
		for k, line := range labels {
			d.say(d.x, d.y+(float64(k)+0.78)*value.line(), line, label)
		}
		for k, line := range values {
			d.say(d.x+labelWidth, d.y+(float64(k)+0.78)*value.line(), line, value)
		}
		d.y += height + 0.3
		d.rule(0.12, d.thin)
		d.y += 0.4
	}
	d.y += 1.2
}

// Marked writes a sentence with a mark before it.
func (d *Document) Marked(mark *draw.Drawing, text string) {
	look := Look{Size: 8.5}
	lines := d.wrap(text, look, d.width-6)
	d.need(float64(len(lines)) * look.line())
	d.paint(mark, d.x, d.y+0.2, 3.4, 3.4)
	for _, line := range lines {
		d.say(d.x+6, d.y+look.line()*0.78, line, look)
		d.y += look.line()
	}
	d.y += 0.6
}

// Shown is a text as it is printed: without what a line cannot hold, and with the number of
// what no type can show.
func Shown(text string) string { return safe(text) }

// Height measures what is written, mm.
func (d *Document) Height(write func()) float64 { return d.height(write) }

// Body is how high the body of a page is, mm.
func (d *Document) Body() float64 { return d.bottom - topMargin }

// AtBottom writes something at the bottom of the page.
func (d *Document) AtBottom(write func()) {
	height := d.height(write)
	d.need(height)
	d.y = max(d.y, d.bottom-height)
	write()
}
