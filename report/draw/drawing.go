package draw

import (
	"strconv"
	"strings"
)

// Drawing is a picture in units of its own.
type Drawing struct {
	Box    Box
	Class  string // of the whole, for the style sheet
	Words  string // what it shows, for those who cannot see it; an icon has none
	Layers []Layer
}

// Box is the part of the plane that a drawing shows.
type Box struct{ Left, Top, Width, Height Number }

// Layer is painted over the layers before it.
type Layer []Shape

// add puts a layer of shapes on top.
func (d *Drawing) add(shapes ...Shape) { d.Layers = append(d.Layers, shapes) }

// String is the box as SVG has it.
func (b Box) String() string {
	return b.Left.String() + " " + b.Top.String() + " " + b.Width.String() + " " + b.Height.String()
}

// Number is a decimal number of a drawing. Both renderers write its digits, so that
// page and paper show one drawing.
type Number struct {
	digits int64
	tenths bool // the last digit is one of tenths
}

// tenth rounds a computed coordinate: a tenth of a unit is less than the eye sees,
// keeps a file small, and is the same text on every machine.
func tenth(v float64) Number {
	text := strconv.FormatFloat(max(-farthest, min(farthest, v)), 'f', 1, 64)
	digits, _ := strconv.ParseInt(strings.Replace(text, ".", "", 1), 10, 64) // no number stays at 0
	return Number{digits, true}
}

// farthest bounds a coordinate: no printer goes there.
const farthest = 1e6

// whole is a number without decimals.
func whole(n int64) Number { return Number{digits: n} }

// String writes the digits.
func (n Number) String() string {
	if n.tenths {
		return strconv.FormatFloat(n.value(), 'f', 1, 64)
	}
	return strconv.FormatInt(n.digits, 10)
}

func (n Number) value() float64 {
	if n.tenths {
		return float64(n.digits) / 10
	}
	return float64(n.digits)
}
