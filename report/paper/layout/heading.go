package layout

import "strings"

// keptBelow is the least that stays with a heading on its page, mm.
const keptBelow = 34.0

// Heading begins a section: a rule, its name, and an entry in the outline.
func (d *Document) Heading(text string) {
	look := Look{Size: 14.5, Bold: true}
	d.Space(5)
	d.need(look.line() + keptBelow)
	d.rule(0.7, d.black)
	d.y += 2.2
	if !d.dry {
		d.font(look)
		d.pdf.Bookmark(safe(text), 0, d.y)
	}
	d.Paragraph(text, look)
}

// Subheading names a part of a section.
func (d *Document) Subheading(text string) {
	look := Look{Size: 11, Bold: true}
	d.Space(2)
	d.need(look.line() + keptBelow*0.6)
	d.Paragraph(text, look)
}

// Kind writes what a document is, above its title.
func (d *Document) Kind(text string) {
	look := Look{Size: 10, Bold: true}
	if !d.dry {
		d.font(look)
		d.pdf.SetTextColor(d.hot.R, d.hot.G, d.hot.B)
		d.pdf.Text(d.x, d.y+look.line()*0.78, strings.ToUpper(safe(text)))
	}
	d.y += look.line()
}
