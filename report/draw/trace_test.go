package draw

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// sketch keeps the strokes of a path.
type sketch struct{ strokes []string }

func (s *sketch) move(x, y float64) { s.add("M", x, y) }
func (s *sketch) line(x, y float64) { s.add("L", x, y) }
func (s *sketch) close()            { s.add("Z") }

func (s *sketch) curve(_, _, _, _, x, y float64) { s.add("C", x, y) }

func (s *sketch) add(letter string, at ...float64) {
	for _, v := range at {
		letter += fmt.Sprintf(" %.3f", v+0) // no -0
	}
	s.strokes = append(s.strokes, strings.ReplaceAll(letter, "-0.000", "0.000"))
}

func TestTrace(t *testing.T) {
	n := func(v float64) Number { return tenth(v) }
	o := Outline{}
	for want, outline := range map[string]Outline{
		"": o,
		"M 1.000 2.000|L 3.000 4.000|L 5.000 4.000|L 5.000 6.000|L 4.000 6.000|L 4.000 4.000|Z": o.move(n(1), n(2)).line(n(3), n(4)).across(n(5)).down(n(6)).right(n(-1)).below(n(-2)).close(),
		"M 1.000 1.000|L 2.000 2.000|Z|L 2.000 1.000":                                           o.move(n(1), n(1)).line(n(2), n(2)).close().right(n(1)),
		"M 10.000 0.000|C 0.000 10.000":                                                         o.move(n(10), n(0)).arc(n(10), false, true, n(0), n(10)),
		"M 10.000 0.000|C 0.000 -10.000|C -10.000 0.000|C 0.000 10.000":                         o.move(n(10), n(0)).arc(n(10), true, false, n(0), n(10)),
		"M 2.000 10.000|C 10.000 18.000|C 18.000 10.000|C 10.000 2.000|C 2.000 10.000|Z":        round(10, 10, 8),
		"M 0.000 0.000|L 3.000 0.000|L 3.000 2.000|L 0.000 2.000|Z":                             frameOf(n(0), n(0), n(3), n(2)),
	} {
		var s sketch
		outline.trace(&s)
		assert.Equal(t, want, strings.Join(s.strokes, "|"))
	}
}

// An outline says in SVG what it traces for the paper.
func TestOutline_SVG(t *testing.T) {
	assert.Equal(t, "M1.0 -2.5L3 4H5V6.0h-1v2Z", Outline{}.move(tenth(1), tenth(-2.46)).line(whole(3), whole(4)).across(whole(5)).down(tenth(6.04)).
		right(whole(-1)).below(whole(2)).close().String())
	assert.Equal(t, "M2.0 10.0a8.0 8.0 0 1 0 16.0 0a8.0 8.0 0 1 0 -16.0 0Z", round(10, 10, 8).String())
	assert.Equal(t, "A7.0 7.0 0 1 0 1.0 2.0", Outline{}.arc(tenth(7), true, false, tenth(1), tenth(2)).String())
}

// An arc of our curves keeps to its circle.
func TestBendStaysOnTheCircle(t *testing.T) {
	middle := 0.0
	p := penFunc(func(x1, y1, x2, y2, x, y float64) {
		// the middle of a curve from (10,0): (p0 + 3p1 + 3p2 + p3)/8
		middle = math.Hypot((10+3*x1+3*x2+x)/8, (3*y1+3*y2+y)/8)
	})
	bend(p, 0, 0, 10, 0, math.Pi/2)
	assert.InDelta(t, 10, middle, 0.003)
}

type penFunc func(x1, y1, x2, y2, x, y float64)

func (f penFunc) move(float64, float64)              {}
func (f penFunc) line(float64, float64)              {}
func (f penFunc) close()                             {}
func (f penFunc) curve(x1, y1, x2, y2, x, y float64) { f(x1, y1, x2, y2, x, y) }
