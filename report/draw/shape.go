package draw

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"arctally/report/sheet"
)

// coord is a coordinate in a drawing, printed with one decimal: a tenth of a
// unit is less than the eye sees and keeps the file small.
type coord float64

// String makes the same coordinate the same text on every machine.
func (c coord) String() string {
	text := strconv.FormatFloat(float64(c), 'f', 1, 64)
	if text == "-0.0" {
		return "0.0"
	}
	return text
}

// SignPath is the outline of a verdict's sign around a point.
func SignPath(sign string, x, y, r float64) string {
	switch sign {
	case sheet.SignNearOut, sheet.SignOutside:
		return polygon(x, y, r*1.25, 3, -90)
	case sheet.SignUnjudged:
		return fmt.Sprintf("M%s %sL%s %sM%s %sL%s %s", coord(x-r), coord(y-r), coord(x+r), coord(y+r),
			coord(x-r), coord(y+r), coord(x+r), coord(y-r))
	default:
		return circle(x, y, r)
	}
}

func circle(x, y, r float64) string {
	return fmt.Sprintf("M%s %sa%s %s 0 1 0 %s 0a%s %s 0 1 0 %s 0Z", coord(x-r), coord(y), coord(r), coord(r), coord(2*r),
		coord(r), coord(r), coord(-2*r))
}

// polygon is a regular one with its first corner at an angle.
func polygon(x, y, r float64, corners int, first float64) string {
	var b strings.Builder
	for k := range corners {
		sin, cos := math.Sincos((first + 360*float64(k)/float64(corners)) * math.Pi / 180)
		letter := "L"
		if k == 0 {
			letter = "M"
		}
		b.WriteString(letter + coord(x+r*cos).String() + " " + coord(y+r*sin).String())
	}
	return b.String() + "Z"
}
