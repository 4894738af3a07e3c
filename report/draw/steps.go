package draw

import (
	"fmt"
	"math"

	"arctally/report/sheet"
)

// steps are a few shades over the range of a layer.
type steps struct {
	low, step float64 // in the unit
	count     int
	unit      string
	decimals  int
}

// newSteps spans the values of the fields; nil is no value.
func newSteps(f sheet.Fields, unit string, decimals int, value func(row, column int) *float64) steps {
	low, high := math.Inf(1), math.Inf(-1)
	for row := range f.Rows {
		for column := range f.Columns {
			if v := value(row, column); v != nil {
				low, high = math.Min(low, *v), math.Max(high, *v)
			}
		}
	}
	if low > high {
		low, high = 0, 0
	}
	s := steps{unit: unit}
	least := math.Pow(10, -float64(decimals))                                           // no finer than the figures
	for most := float64(MapShades + 1); s.count == 0 || s.count > MapShades+1; most-- { // round numbers may need a step more
		s.step = roundStep(math.Max(least, (high-low)/most))
		s.low = math.Floor(low/s.step+1e-9) * s.step
		s.count = 1 + int((high-s.low)/s.step+1e-9)
	}
	s.decimals = max(decimals, -int(math.Floor(math.Log10(s.step)+1e-9)))
	return s
}

func (s steps) index(v float64) int { return max(0, min(s.count-1, int((v-s.low)/s.step+1e-9))) }

// shades name the steps, the first one the darkest; as few as there are lie as
// far apart as can be, and one alone is light.
func (s steps) shades() (list []shade) {
	text := func(k int) string { return sheet.Digits(new(s.low+float64(k)*s.step), s.decimals) }
	for k := range s.count {
		tone := MapShades - 1
		if s.count > 1 {
			tone = k * MapShades / (s.count - 1)
		}
		list = append(list, shade{Class: fmt.Sprintf("shade%d", tone), Words: text(k) + " to " + text(k+1) + " " + s.unit})
	}
	return list
}

// valueClasses sort fields into shades by a value that may be out of its window.
type valueClasses struct {
	sheet.Fields
	steps
	window limits
	value  func(row, column int) *float64
}

// The classes of a value beside its steps.
const (
	outsideClass = iota
	firstValue
)

func newValueClasses(f sheet.Fields, unit string, decimals int, window limits, value func(row, column int) *float64) valueClasses {
	return valueClasses{f, newSteps(f, unit, decimals, value), window, value}
}

func (c valueClasses) of(row, column int) int {
	v := c.value(row, column)
	switch {
	case v == nil:
		return -1
	case c.window.outside(*v):
		return outsideClass
	default:
		return firstValue + c.index(*v)
	}
}

func (c valueClasses) shades() []shade {
	list := c.steps.shades()
	for k := range len(list) / 2 { // more of it is darker
		last := len(list) - 1 - k
		list[k].Class, list[last].Class = list[last].Class, list[k].Class
	}
	return append([]shade{outsideClass: {Class: "short", Words: "outside the window of the procedure"}}, list...)
}
