package layout

import "math"

// acrossSize is the type of the words across a page, points; they are made smaller to fit.
const acrossSize = 60.0

// writeAcross writes the words across a new page, from corner to corner, and once more
// in plain type above its text, which the light letters below must leave readable.
func (d *Document) writeAcross() {
	if d.across == "" {
		return
	}
	width, height := d.pdf.GetPageSize()
	bold, text := Look{Size: acrossSize, Bold: true}, safe(d.across)
	if room := 0.8 * math.Hypot(width, height); d.measure(text, bold) > room {
		bold.Size *= room / d.measure(text, bold)
	}
	d.font(bold)
	d.pdf.SetTextColor(d.faint.R, d.faint.G, d.faint.B)
	d.pdf.TransformBegin()
	d.pdf.TransformRotate(math.Atan2(height, width)*180/math.Pi, width/2, height/2)
	d.pdf.Text((width-d.measure(text, bold))/2, height/2+bold.Size*0.12, text)
	d.pdf.TransformEnd()

	head := Look{Size: 9, Bold: true}
	d.font(head)
	d.pdf.SetTextColor(d.hot.R, d.hot.G, d.hot.B)
	d.pdf.Text((width-d.measure(text, head))/2, topMargin-4, text)
}
