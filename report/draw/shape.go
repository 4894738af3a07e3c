package draw

import (
	"math"
	"strings"
)

// Shape is one thing of a drawing: a Path, a Circle, a Rect or a Label.
type Shape interface {
	// Tag is the name of its element in SVG.
	Tag() string
}

// Circle is a whole circle.
type Circle struct {
	Class   string // for the style sheet, as of all shapes
	X, Y, R Number
	Open    bool // a line that encloses nothing, whatever its class says
}

// Rect is a rectangle; one at the corner of its drawing has no place.
type Rect struct {
	Class               string
	X, Y, Width, Height Number
}

// Label is a text at a point.
type Label struct {
	Class  string
	X, Y   Number
	DX, DY Number // how far from the point; nothing is at it
	Words  string
	Title  string // what a reader who points at it is told
}

// Path is an outline of lines and arcs.
type Path struct {
	Class   string
	Outline Outline
	Title   string // what a reader who points at it is told
	Open    bool   // a line that encloses nothing, whatever its class says
}

// Tag implements Shape.
func (Circle) Tag() string { return "circle" }

// Tag implements Shape.
func (Rect) Tag() string { return "rect" }

// Tag implements Shape.
func (Label) Tag() string { return "text" }

// Tag implements Shape.
func (Path) Tag() string { return "path" }

// Shifted reports whether a label stands off its point downwards.
func (l Label) Shifted() bool { return l.DY != Number{} }

// Outline is the way of a pen: steps named by the letters that SVG has for them, a
// small letter for a step from where the pen stands.
type Outline []step

type step struct {
	letter           byte
	x, y, r          Number
	large, clockwise bool // of an arc
}

func (o Outline) move(x, y Number) Outline { return append(o, step{letter: 'M', x: x, y: y}) }
func (o Outline) line(x, y Number) Outline { return append(o, step{letter: 'L', x: x, y: y}) }
func (o Outline) across(x Number) Outline  { return append(o, step{letter: 'H', x: x}) }
func (o Outline) down(y Number) Outline    { return append(o, step{letter: 'V', y: y}) }
func (o Outline) right(x Number) Outline   { return append(o, step{letter: 'h', x: x}) }
func (o Outline) below(y Number) Outline   { return append(o, step{letter: 'v', y: y}) }
func (o Outline) close() Outline           { return append(o, step{letter: 'Z'}) }

func (o Outline) arc(r Number, large, clockwise bool, x, y Number) Outline {
	return append(o, step{'A', x, y, r, large, clockwise})
}

// half goes round half a circle to a point that lies so far to the right.
func (o Outline) half(r, x Number) Outline {
	return append(o, step{letter: 'a', x: x, r: r, large: true})
}

// String is the outline as SVG has it.
func (o Outline) String() string {
	var b strings.Builder
	for _, s := range o {
		b.WriteByte(s.letter)
		switch s.letter {
		case 'H', 'h':
			b.WriteString(s.x.String())
		case 'V', 'v':
			b.WriteString(s.y.String())
		case 'A', 'a':
			b.WriteString(s.r.String() + " " + s.r.String() + " 0 " + flag(s.large) + " " + flag(s.clockwise) + " ")
			fallthrough
		case 'M', 'L':
			b.WriteString(s.x.String() + " " + s.y.String())
		}
	}
	return b.String()
}

func flag(on bool) string {
	if on {
		return "1"
	}
	return "0"
}

// round is a circle as a path.
func round(x, y, r float64) Outline {
	return Outline{}.move(tenth(x-r), tenth(y)).half(tenth(r), tenth(2*r)).half(tenth(r), tenth(-2*r)).close()
}

// polygon is a regular one with its first corner at an angle.
func polygon(x, y, r float64, corners int, first float64) (o Outline) {
	for k := range corners {
		sin, cos := math.Sincos((first + 360*float64(k)/float64(corners)) * math.Pi / 180)
		cornerX, cornerY := tenth(x+r*cos), tenth(y+r*sin)
		if k == 0 {
			o = o.move(cornerX, cornerY)
		} else {
			o = o.line(cornerX, cornerY)
		}
	}
	return o.close()
}

// frameOf goes round a rectangle.
func frameOf(left, top, right, bottom Number) Outline {
	return Outline{}.move(left, top).across(right).down(bottom).across(left).close()
}

// onCircle is the point at an angle clockwise from the top.
func onCircle(centre, angle, r float64) (x, y float64) {
	sin, cos := math.Sincos(angle * math.Pi / 180)
	return centre + r*sin, centre - r*cos
}
