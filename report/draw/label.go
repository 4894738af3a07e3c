package draw

import "strconv"

// The least weight of a type that is bold; CSS calls it 600 and more.
const bold = 600

// label writes a text, with paper around it where the style sheet wants it to stand
// out of what lies below.
func (p *painter) label(l Label) {
	if l.Words == "" {
		return
	}
	p.font()
	x, y := p.onPage(l.X.value()+l.DX.value(), l.Y.value()+l.DY.value())
	switch width := p.pdf.GetStringWidth(l.Words); p.element.value("text-anchor") {
	case "middle":
		x -= width / 2
	case "end":
		x -= width
	}
	ink := p.style.Ink("ink")
	if p.element.value("paint-order") == "stroke" {
		if halo := p.element.length("stroke-width", 0) * p.scale; halo > 0 {
			p.stroke(halo, p.style.Ink("paper"))
			p.pdf.SetLineJoinStyle("round")
			p.pdf.SetTextRenderingMode(1)
			p.write(x, y, l.Words, ink)
			p.pdf.SetTextRenderingMode(0)
		}
	}
	if c, err := colour(p.element.value("fill")); err == nil {
		ink = c
	}
	p.write(x, y, l.Words, ink)
}

func (p *painter) font() {
	size := p.element.length("font-size", 0)
	if size == 0 {
		size = p.element.fontSize()
	}
	style := ""
	if weight, _ := strconv.Atoi(p.element.value("font-weight")); weight >= bold {
		style = "B"
	}
	p.pdf.SetFont(Face, style, size*p.scale/Point)
}

func (p *painter) write(x, y float64, words string, ink Colour) {
	p.font()
	p.pdf.SetTextColor(ink.R, ink.G, ink.B)
	p.pdf.Text(x, y, words)
}
