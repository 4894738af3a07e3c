package layout

import (
	"encoding/xml"
	"strconv"
	"strings"
)

// shape fills and strokes an outline.
func (p *painter) shape(e xml.StartElement, outline func(pen) error) error {
	fill := attribute(e, "fill")
	if fill == "" {
		fill = p.style("fill")
	}
	if fill == "" {
		fill = "#000"
	}
	var box bounds
	if err := outline(&box); err != nil || box.empty() {
		return err
	}
	if name, ok := strings.CutPrefix(fill, "url(#"); ok {
		if err := p.hatched(strings.TrimSuffix(name, ")"), outline, box); err != nil {
			return err
		}
	} else if fill != "none" {
		c, err := colour(fill)
		if err != nil {
			return err
		}
		p.d.pdf.SetFillColor(c.r, c.g, c.b)
		_ = outline(p) // its error was seen above
		p.d.pdf.DrawPath("f")
	}
	return p.stroked(outline)
}

func (p *painter) stroked(outline func(pen) error) error {
	stroke := p.style("stroke")
	if stroke == "" || stroke == "none" {
		return nil
	}
	c, err := colour(stroke)
	if err != nil {
		return err
	}
	p.d.stroke(p.length("stroke-width", 1)*p.scale, c)
	dashes := p.dashes()
	p.d.pdf.SetDashPattern(dashes, 0)
	p.d.pdf.SetLineJoinStyle("round")
	_ = outline(p) // its error was seen when it was filled
	p.d.pdf.DrawPath("D")
	p.d.pdf.SetDashPattern(nil, 0)
	return nil
}

func (p *painter) dashes() (dashes []float64) {
	values, err := numbers(p.style("stroke-dasharray"))
	if err != nil {
		return nil
	}
	for _, v := range values {
		dashes = append(dashes, v*p.scale)
	}
	return dashes
}

// length reads a property in units of the drawing.
func (p *painter) length(property string, otherwise float64) float64 {
	v, err := strconv.ParseFloat(strings.TrimSuffix(p.style(property), "px"), 64)
	if err != nil || v < 0 || v > 1e4 {
		return otherwise
	}
	return v
}

// bounds is a pen that only looks how far a path goes.
type bounds struct {
	left, top, right, bottom float64
	some                     bool
}

func (b *bounds) take(x, y float64) {
	if !b.some {
		*b = bounds{x, y, x, y, true}
	}
	b.left, b.right = min(b.left, x), max(b.right, x)
	b.top, b.bottom = min(b.top, y), max(b.bottom, y)
}

func (b *bounds) empty() bool       { return !b.some }
func (b *bounds) move(x, y float64) { b.take(x, y) }
func (b *bounds) line(x, y float64) { b.take(x, y) }
func (b *bounds) close()            {}

func (b *bounds) curve(x1, y1, x2, y2, x, y float64) {
	b.take(x1, y1)
	b.take(x2, y2)
	b.take(x, y)
}

// label is a text in a drawing.
type label struct {
	x, y   float64
	anchor string
	look   Look
	colour rgb
	halo   float64 // width of the paper around it, mm
}

func (p *painter) label(x, y float64) *label {
	l := &label{x: x, y: y, anchor: p.style("text-anchor"), colour: inkBlack}
	size := p.length("font-size", 0)
	if size == 0 {
		size = p.shorthandSize()
	}
	weight, _ := strconv.Atoi(p.style("font-weight"))
	l.look = Look{Size: size * p.scale / point, Bold: weight >= 600}
	if c, err := colour(p.style("fill")); err == nil {
		l.colour = c
	}
	if p.style("paint-order") == "stroke" {
		l.halo = p.length("stroke-width", 0) * p.scale
	}
	return l
}

// shorthandSize is the size in the property "font".
func (p *painter) shorthandSize() float64 {
	for _, word := range strings.Fields(p.style("font")) {
		if v, err := strconv.ParseFloat(strings.TrimSuffix(word, "px"), 64); err == nil && strings.HasSuffix(word, "px") {
			return v
		}
	}
	return 14
}

func (l *label) write(p *painter, text string) {
	if text == "" {
		return
	}
	d := p.d
	x, y := p.onPage(l.x, l.y)
	switch width := d.measure(text, l.look); l.anchor {
	case "middle":
		x -= width / 2
	case "end":
		x -= width
	}
	if l.halo > 0 {
		d.stroke(l.halo, white)
		d.pdf.SetLineJoinStyle("round")
		d.pdf.SetTextRenderingMode(1)
		d.say(x, y, text, l.look)
		d.pdf.SetTextRenderingMode(0)
	}
	d.font(l.look)
	d.pdf.SetTextColor(l.colour.r, l.colour.g, l.colour.b)
	d.pdf.Text(x, y, safe(text))
}
