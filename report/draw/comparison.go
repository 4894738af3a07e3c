package draw

import (
	"fmt"
	"math"
	"strconv"

	"arctally/analyze/compare"
	"arctally/report/sheet"
)

// The classes of a comparison.
const (
	thisClass      = "over"
	referenceClass = "under"
	apartClass     = "apart" // where the two part
)

var comparedFrame = frame{1000, 210, 70, 14, 22, 36}

// Comparison draws each quantity of both passes along the way.
func Comparison(c *compare.Comparison, u sheet.Units) (figures []Figure) {
	for _, ch := range sheet.ComparedIn(u) {
		if d := compared(c, &ch); d != nil {
			figures = append(figures, Figure{Title: ch.Title, Unit: ch.Unit.Name, Drawing: d})
		}
	}
	return figures
}

// ComparisonKeys explain the lines of the charts.
func ComparisonKeys(c *compare.Comparison) []Key {
	return []Key{
		{lineKey(thisClass), fmt.Sprintf("pass %d", c.Pass)},
		{lineKey(referenceClass), c.Name()},
		{lineKey(apartClass), "where they part; the number is that of the sentence above"},
	}
}

// compared draws one quantity, nil where it is not known of either.
func compared(c *compare.Comparison, ch *sheet.ComparedChannel) *Drawing {
	low, high := math.Inf(1), math.Inf(-1)
	for k := range c.Lines {
		for _, v := range []*float64{ch.Of(&c.Lines[k].This), ch.Of(&c.Lines[k].Reference)} {
			if v != nil {
				low, high = math.Min(low, *v), math.Max(high, *v)
			}
		}
	}
	if len(c.Lines) == 0 || low > high {
		return nil
	}
	f := comparedFrame
	a := newAxis(low, high, f)
	if low >= 0 {
		a.low = math.Max(0, a.low)
	}
	d := &Drawing{Box: f.box(), Words: fmt.Sprintf("%s of pass %d and of %s, bin by bin.", ch.Title, c.Pass, c.Name())}
	bands, numbers := apart(c, ch.Quantity)
	d.add(bands...)
	d.add(a.grid(f)...)
	d.add(wayScale(c)...)
	d.add(Label{Class: "end", X: tenth(f.left), DX: whole(-18), Y: tenth(f.foot() + 20), Words: sheet.WayName(c)})
	d.add(f.axes())
	d.add(Path{Class: referenceClass, Outline: course(c, a, func(l *compare.Line) *float64 { return ch.Of(&l.Reference) })},
		Path{Class: thisClass, Outline: course(c, a, func(l *compare.Line) *float64 { return ch.Of(&l.This) })})
	d.add(numbers...)
	return d
}

// alongWay is where the number of a bin lies.
func alongWay(c *compare.Comparison, number float64) float64 {
	f := comparedFrame
	first, span := float64(c.Lines[0].Number), float64(len(c.Lines))
	return f.left + (number-first)/span*(f.width-f.left-f.right)
}

// apart marks where the two part, with the number of the sentence that says so.
func apart(c *compare.Comparison, of compare.Quantity) (bands, numbers Layer) {
	f := comparedFrame
	for k, p := range c.Departures {
		if p.Quantity == of {
			from, to := alongWay(c, float64(p.First)), alongWay(c, float64(p.Last+1))
			bands = append(bands, Rect{Class: apartClass, X: tenth(from), Y: tenth(f.top), Width: tenth(math.Max(2, to-from)), Height: tenth(f.height - f.top - f.bottom)})
			numbers = append(numbers, Label{Class: "partno", X: tenth((from + to) / 2), Y: tenth(f.top), DY: whole(-6), Words: strconv.Itoa(k + 1)})
		}
	}
	return bands, numbers
}

// wayScale is the scale of turns, or of arc time, below the plot.
func wayScale(c *compare.Comparison) (shapes Layer) {
	f := comparedFrame
	first, span := float64(c.Lines[0].Number)*c.Width, float64(len(c.Lines))*c.Width
	step := roundStep(span / 12)
	for n := math.Ceil(first/step - 1e-9); n*step <= first+span*(1+1e-9); n++ {
		x := tenth(alongWay(c, n*step/c.Width))
		words := strconv.FormatFloat(n*step+0, 'f', decimalsOf(step), 64) // adding 0 makes a negative zero positive
		shapes = append(shapes, Path{Class: "tickline", Outline: Outline{}.move(x, tenth(f.foot())).below(whole(5))},
			Label{Class: "mid", X: x, Y: tenth(f.foot() + 20), Words: words})
	}
	return shapes
}

// course draws the bins that are known, in the middle of each; where one is not known
// the line has a gap. Arc time of an empty bin is known: it is none.
func course(c *compare.Comparison, a axis, of func(*compare.Line) *float64) (o Outline) {
	drawn := false
	for k := range c.Lines {
		l := &c.Lines[k]
		v := of(l)
		if v == nil {
			drawn = false
			continue
		}
		x, y := tenth(alongWay(c, float64(l.Number)+0.5)), tenth(a.y(*v))
		if drawn {
			o = o.line(x, y)
		} else {
			o = o.move(x, y).right(tenth(0.1)) // a single bin shows too
		}
		drawn = true
	}
	return o
}
