package draw

import (
	"fmt"
	"math"

	"arctally/report/sheet"
)

// classes sort the fields of a map into shades.
type classes interface {
	fieldsOf() sheet.Fields
	of(row, column int) int // -1 where there is nothing to show
	shades() []shade
}

// shade is a class of fields, and what it stands for.
type shade struct{ class, words string }

// steps are a few shades over the range of a layer.
type steps struct {
	low, step float64 // in the unit
	count     int
	unit      sheet.Unit // with the digits that tell one step from the next
}

// newSteps spans the values of the fields; nil is no value.
func newSteps(f sheet.Fields, unit sheet.Unit, value valueOf) steps {
	low, high := math.Inf(1), math.Inf(-1)
	for row := range f.Rows {
		for column := range f.Columns {
			if v := value(f, row, column); v != nil {
				low, high = math.Min(low, *v), math.Max(high, *v)
			}
		}
	}
	if low > high {
		low, high = 0, 0
	}
	var s steps
	least := math.Pow(10, -float64(unit.Digits))                                        // no finer than the figures
	for most := float64(mapShades + 1); s.count == 0 || s.count > mapShades+1; most-- { // round numbers may need a step more
		s.step = roundStep(math.Max(least, (high-low)/most))
		s.low = math.Floor(low/s.step+1e-9) * s.step
		s.count = 1 + int((high-s.low)/s.step+1e-9)
	}
	s.unit = unit.To(max(unit.Digits, -int(math.Floor(math.Log10(s.step)+1e-9))))
	return s
}

func (s steps) index(v float64) int { return max(0, min(s.count-1, int((v-s.low)/s.step+1e-9))) }

// shades name the steps, the first one the darkest; as few as there are lie as
// far apart as can be, and one alone is light.
func (s steps) shades() (list []shade) {
	text := func(k int) string { return sheet.Digits(new(s.low+float64(k)*s.step), s.unit.Digits) }
	for k := range s.count {
		tone := mapShades - 1
		if s.count > 1 {
			tone = k * mapShades / (s.count - 1)
		}
		list = append(list, shade{fmt.Sprintf("shade%d", tone), text(k) + " to " + text(k+1) + " " + s.unit.Name})
	}
	return list
}

// valueClasses sort fields into shades by a value that may be out of its window.
type valueClasses struct {
	sheet.Fields
	steps
	window limits
	value  valueOf
}

// The classes of a value beside its steps.
const (
	outsideClass = iota
	firstValue
)

func newValueClasses(f sheet.Fields, unit sheet.Unit, window limits, value valueOf) valueClasses {
	return valueClasses{f, newSteps(f, unit, value), window, value}
}

func (c valueClasses) fieldsOf() sheet.Fields { return c.Fields }

func (c valueClasses) of(row, column int) int {
	v := c.value(c.Fields, row, column)
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
		list[k].class, list[last].class = list[last].class, list[k].class
	}
	return append([]shade{outsideClass: {"short", "outside the window of the procedure"}}, list...)
}
