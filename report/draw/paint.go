package draw

import (
	"math"

	"codeberg.org/go-pdf/fpdf"
)

// Face is the name under which a PDF file has the type of a drawing.
const Face = "body"

// Point is one in mm.
const Point = 25.4 / 72

// Paint paints a drawing into a place of a page, as large as it fits; lengths are
// mm. The file has the type Face, plain and bold.
func (d *Drawing) Paint(pdf *fpdf.Fpdf, style *Style, x, y, width, height float64) error {
	boxWidth, boxHeight := d.Box.Width.value(), d.Box.Height.value()
	scale := math.Min(width/boxWidth, height/boxHeight)
	p := &painter{
		pdf: pdf, scale: scale, style: style, around: d.Class,
		left: x + (width-scale*boxWidth)/2 - scale*d.Box.Left.value(), top: y + (height-scale*boxHeight)/2 - scale*d.Box.Top.value(),
	}
	for _, layer := range d.Layers {
		for _, shape := range layer {
			if err := p.shape(shape); err != nil {
				return err
			}
		}
	}
	return nil
}

// HeightFor is how high a drawing is at a width.
func (d *Drawing) HeightFor(width float64) float64 {
	return width * d.Box.Height.value() / d.Box.Width.value()
}

// painter paints one drawing.
type painter struct {
	pdf       *fpdf.Fpdf
	left, top float64 // where the origin of the drawing is, mm
	scale     float64 // mm to a unit
	style     *Style
	around    string  // classes of the drawing
	element   element // that is painted
}

// onPage turns a place in the drawing into one on the page.
func (p *painter) onPage(x, y float64) (px, py float64) { return p.left + p.scale*x, p.top + p.scale*y }

func (p *painter) move(x, y float64) { p.pdf.MoveTo(p.onPage(x, y)) }
func (p *painter) line(x, y float64) { p.pdf.LineTo(p.onPage(x, y)) }
func (p *painter) close()            { p.pdf.ClosePath() }

func (p *painter) curve(x1, y1, x2, y2, x, y float64) {
	x1, y1 = p.onPage(x1, y1)
	x2, y2 = p.onPage(x2, y2)
	x, y = p.onPage(x, y)
	p.pdf.CurveBezierCubicTo(x1, y1, x2, y2, x, y)
}

// stroke sets the pen.
func (p *painter) stroke(weight float64, c Colour) {
	p.pdf.SetLineWidth(weight)
	p.pdf.SetDrawColor(c.R, c.G, c.B)
}

func (p *painter) shape(s Shape) error {
	switch s := s.(type) {
	case Label:
		p.element = p.style.element(s.Tag(), p.around, s.Class)
		p.label(s)
		return nil
	case Circle:
		return p.outlined(s, s.Class, s.Open, func(to pen) { ring(to, s.X.value(), s.Y.value(), s.R.value()) })
	case Rect:
		return p.outlined(s, s.Class, false, func(to pen) {
			x, y, width, height := s.X.value(), s.Y.value(), s.Width.value(), s.Height.value()
			to.move(x, y)
			to.line(x+width, y)
			to.line(x+width, y+height)
			to.line(x, y+height)
			to.close()
		})
	case Path:
		return p.outlined(s, s.Class, s.Open, s.Outline.trace)
	default:
		panic("draw: a shape that no painter knows: " + s.Tag())
	}
}

// outlined fills and strokes an outline; an open one is not filled.
func (p *painter) outlined(s Shape, class string, open bool, outline func(pen)) error {
	p.element = p.style.element(s.Tag(), p.around, class)
	var box bounds
	if outline(&box); box.empty() {
		return nil
	}
	if !open {
		if err := p.filled(outline, box); err != nil {
			return err
		}
	}
	return p.stroked(outline)
}

func (p *painter) filled(outline func(pen), box bounds) error {
	fill := p.element.value("fill")
	if name, ok := hatchName(fill); ok {
		return p.hatched(name, outline, box)
	}
	switch fill {
	case "none":
		return nil
	case "":
		fill = "#000"
	}
	c, err := colour(fill)
	if err != nil {
		return err
	}
	p.pdf.SetFillColor(c.R, c.G, c.B)
	outline(p)
	p.pdf.DrawPath("f")
	return nil
}

func (p *painter) stroked(outline func(pen)) error {
	stroke := p.element.value("stroke")
	if stroke == "" || stroke == "none" {
		return nil
	}
	c, err := colour(stroke)
	if err != nil {
		return err
	}
	p.stroke(p.element.length("stroke-width", 1)*p.scale, c)
	dashes := p.element.lengths("stroke-dasharray")
	for k := range dashes {
		dashes[k] *= p.scale
	}
	p.pdf.SetDashPattern(dashes, 0)
	p.pdf.SetLineJoinStyle("round")
	outline(p)
	p.pdf.DrawPath("D")
	p.pdf.SetDashPattern(nil, 0)
	return nil
}
