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
	switch width := p.pdf.GetStringWidth(l.Words); p.look.value("text-anchor") {
	case "middle":
		x -= width / 2
	case "end":
		x -= width
	}
	ink := p.sheet.Ink("ink")
	if p.look.value("paint-order") == "stroke" {
		if halo := p.look.length("stroke-width", 0) * p.scale; halo > 0 {
			p.stroke(halo, p.sheet.Ink("paper"))
			p.pdf.SetLineJoinStyle("round")
			p.pdf.SetTextRenderingMode(1)
			p.write(x, y, l.Words, ink)
			p.pdf.SetTextRenderingMode(0)
		}
	}
	if c, err := colour(p.look.value("fill")); err == nil {
		ink = c
	}
	p.write(x, y, l.Words, ink)
}

func (p *painter) font() {
	size := p.look.length("font-size", 0)
	if size == 0 {
		size = p.look.fontSize()
	}
	style := ""
	if weight, _ := strconv.Atoi(p.look.value("font-weight")); weight >= bold {
		style = "B"
	}
	p.pdf.SetFont(Face, style, size*p.scale/Point)
}

func (p *painter) write(x, y float64, words string, ink Colour) {
	p.font()
	p.pdf.SetTextColor(ink.R, ink.G, ink.B)
	p.pdf.Text(x, y, words)
}
