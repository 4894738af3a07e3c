package layout

import (
	"fmt"
	"math"
)

// hatch is a pattern that is told from any grey.
type hatch struct {
	ground rgb
	line   rgb
	every  float64 // distance of the lines, in units of the drawing
	weight float64
	angles []float64 // of the lines, degrees; none has dots
}

// hatches are the patterns of the pages, by name.
var hatches = map[string]hatch{
	"hatch":    {white, inkGrey, 7, 2, []float64{-45}},
	"guard":    {white, inkGrey, 6, 0.8, []float64{45}},
	"short":    {inkBlack, white, 5.7, 1.3, []float64{45, -45}},
	"doubtful": {white, inkBlack, 6, 2, []float64{0}},
	"unseen":   {white, inkBlack, 7, 3.4, nil},
}

// mostHatched bounds the strokes of a hatch.
const mostHatched = 1e5

// hatched fills an outline with a pattern.
func (p *painter) hatched(name string, outline func(pen) error, box bounds) error {
	h, ok := hatches[name]
	if !ok {
		return fmt.Errorf("no hatch is called %q", name)
	}
	if (box.right-box.left+h.every)*(box.bottom-box.top+h.every) > mostHatched*h.every*h.every {
		return fmt.Errorf("an outline of %.0f by %.0f is too large for the hatch %q", box.right-box.left, box.bottom-box.top, name)
	}
	pdf := p.d.pdf
	pdf.RawWriteStr("q")
	_ = outline(p) // its error was seen before
	pdf.RawWriteStr("W n")
	pdf.SetFillColor(h.ground.r, h.ground.g, h.ground.b)
	left, top := p.onPage(box.left, box.top)
	pdf.Rect(left, top, (box.right-box.left)*p.scale, (box.bottom-box.top)*p.scale, "F")
	p.d.stroke(h.weight*p.scale, h.line)
	for _, angle := range h.angles {
		p.lines(angle, h.every, box)
	}
	if h.angles == nil {
		p.dots(h, box)
	}
	pdf.RawWriteStr("Q")
	return nil
}

// lines run over a box at an angle; they keep their places from box to box, so
// that neighbours look like one field.
func (p *painter) lines(angle, every float64, box bounds) {
	sin, cos := math.Sincos(angle * math.Pi / 180)
	across := func(x, y float64) float64 { return y*cos - x*sin }
	along := func(x, y float64) float64 { return x*cos + y*sin }
	from, until := math.Inf(1), math.Inf(-1)
	begin, end := math.Inf(1), math.Inf(-1)
	for _, corner := range [][2]float64{{box.left, box.top}, {box.right, box.top}, {box.left, box.bottom}, {box.right, box.bottom}} {
		from, until = min(from, across(corner[0], corner[1])), max(until, across(corner[0], corner[1]))
		begin, end = min(begin, along(corner[0], corner[1])), max(end, along(corner[0], corner[1]))
	}
	for at := math.Ceil(from/every) * every; at <= until; at += every {
		x1, y1 := p.onPage(begin*cos-at*sin, begin*sin+at*cos)
		x2, y2 := p.onPage(end*cos-at*sin, end*sin+at*cos)
		p.d.pdf.Line(x1, y1, x2, y2)
	}
}

func (p *painter) dots(h hatch, box bounds) {
	p.d.pdf.SetFillColor(h.line.r, h.line.g, h.line.b)
	for y := math.Floor(box.top/h.every) * h.every; y <= box.bottom+h.every; y += h.every {
		for x := math.Floor(box.left/h.every) * h.every; x <= box.right+h.every; x += h.every {
			px, py := p.onPage(x, y)
			p.d.pdf.Circle(px, py, h.weight/2*p.scale, "F")
		}
	}
}
