package layout

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// Drawing paints a drawing over the width of the column.
func (d *Document) Drawing(svg string) {
	box, err := viewBox(svg)
	if err != nil {
		d.fail(err)
		return
	}
	height := d.width * box.height / box.width
	d.need(height)
	d.paint(svg, d.x, d.y, d.width, height)
	d.y += height + 1.5
}

func (d *Document) fail(err error) { d.err = errors.Join(d.err, fmt.Errorf("a drawing: %w", err)) }

// paint puts a drawing into a place, as large as it fits.
func (d *Document) paint(svg string, x, y, width, height float64) {
	if d.dry || svg == "" {
		return
	}
	box, err := viewBox(svg)
	if err != nil {
		d.fail(err)
		return
	}
	scale := math.Min(width/box.width, height/box.height)
	p := &painter{
		d: d, scale: scale,
		left: x + (width-scale*box.width)/2 - scale*box.x, top: y + (height-scale*box.height)/2 - scale*box.y,
	}
	if err := p.walk(svg); err != nil {
		d.fail(err)
	}
}

// view is the part of the plane that a drawing shows.
type view struct{ x, y, width, height float64 }

// viewBox finds it in the first tag.
func viewBox(svg string) (v view, err error) {
	for d := xml.NewDecoder(strings.NewReader(svg)); ; {
		token, err := d.Token()
		if err != nil {
			return v, fmt.Errorf("no svg: %w", err)
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		values, err := numbers(attribute(start, "viewBox"))
		if err != nil || len(values) != 4 || values[2] < 1e-3 || values[3] < 1e-3 {
			return v, fmt.Errorf("no viewBox in <%s>", start.Name.Local)
		}
		return view{values[0], values[1], values[2], values[3]}, nil
	}
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// painter paints one drawing.
type painter struct {
	d         *Document
	left, top float64 // where the origin of the drawing is, mm
	scale     float64 // mm to a unit
	tags      []string
	classes   []string
	own       int // classes before this one are those of the elements around
}

// onPage turns a place in the drawing into one on the page.
func (p *painter) onPage(x, y float64) (px, py float64) { return p.left + p.scale*x, p.top + p.scale*y }

func (p *painter) move(x, y float64) { p.d.pdf.MoveTo(p.onPage(x, y)) }
func (p *painter) line(x, y float64) { p.d.pdf.LineTo(p.onPage(x, y)) }
func (p *painter) close()            { p.d.pdf.ClosePath() }

func (p *painter) curve(x1, y1, x2, y2, x, y float64) {
	x1, y1 = p.onPage(x1, y1)
	x2, y2 = p.onPage(x2, y2)
	x, y = p.onPage(x, y)
	p.d.pdf.CurveBezierCubicTo(x1, y1, x2, y2, x, y)
}

// walk paints element by element.
func (p *painter) walk(svg string) error {
	var text *label
	decoder := xml.NewDecoder(strings.NewReader(svg))
	var depths []int // classes before each open element
	for {
		token, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		switch t := token.(type) {
		case xml.StartElement:
			if t.Name.Local == "title" {
				if err := decoder.Skip(); err != nil {
					return err
				}
				continue
			}
			depths = append(depths, len(p.classes))
			p.own = len(p.classes)
			p.tags = append(p.tags, t.Name.Local)
			p.classes = append(p.classes, strings.Fields(attribute(t, "class"))...)
			if text, err = p.element(t); err != nil {
				return err
			}
		case xml.EndElement:
			p.classes = p.classes[:depths[len(depths)-1]]
			p.tags, depths = p.tags[:len(p.tags)-1], depths[:len(depths)-1]
			text = nil
		case xml.CharData:
			if text != nil {
				text.write(p, strings.TrimSpace(string(t)))
			}
		}
	}
}

// style is what the element is painted with.
func (p *painter) style(property string) string {
	return p.d.style.value(p.tags, p.classes, p.own, property)
}

func (p *painter) element(e xml.StartElement) (*label, error) {
	value := func(name string) float64 {
		v, err := strconv.ParseFloat(attribute(e, name), 64)
		if err != nil || math.IsNaN(v) || math.Abs(v) > 1e6 {
			return 0
		}
		return v
	}
	switch e.Name.Local {
	case "svg", "g":
		return nil, nil
	case "text":
		return p.label(value("x")+value("dx"), value("y")+value("dy")), nil
	case "path":
		data := attribute(e, "d")
		return nil, p.shape(e, func(to pen) error { return trace(data, to) })
	case "circle":
		return nil, p.shape(e, func(to pen) error { ring(to, value("cx"), value("cy"), value("r")); return nil })
	case "rect":
		x, y, width, height := value("x"), value("y"), value("width"), value("height")
		return nil, p.shape(e, func(to pen) error {
			to.move(x, y)
			to.line(x+width, y)
			to.line(x+width, y+height)
			to.line(x, y+height)
			to.close()
			return nil
		})
	default:
		return nil, fmt.Errorf("<%s> is not known", e.Name.Local)
	}
}
