package draw

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"arctally/report/sheet"
)

// chart is one quantity over the passes, before it is drawn.
type chart struct {
	title  string
	unit   sheet.Unit
	frame  frame
	window limits
	points []point
}

// point is a value of a pass.
type point struct {
	pass  int
	value *float64
	doubt *float64 // half length of its bar
	guard *float64 // how close to a limit cannot be told
	plan  *float64 // what was planned for this pass
	sign  string
	words string
}

var (
	largeFrame = frame{760, 285, 66, 14, 16, 44}
	smallFrame = frame{460, 190, 58, 10, 14, 36}
)

// figure draws a chart, nil where no value is known.
func (c *chart) figure() *Figure {
	low, high, ok := c.extent()
	if !ok {
		return nil
	}
	f, a := c.frame, newAxis(low, high, c.frame)
	d := &Drawing{Box: f.box(), Words: c.summary()}
	d.add(c.windowBand(a)...)
	d.add(c.guardBands(a)...)
	d.add(a.grid(f)...)
	lines, words := c.limits(a)
	d.add(lines...)
	d.add(f.axes())
	d.add(c.passNumbers()...)
	d.add(Label{Class: "end", X: tenth(f.left), DX: whole(-8), Y: tenth(f.foot() + 18), Words: "pass"})
	d.add(c.plans(a)...)
	for k := range c.points {
		d.add(c.mark(k, a)...)
	}
	d.add(words...)
	return &Figure{Title: c.title, Unit: c.unit.Name, Drawing: d}
}

// extent is the range that a chart must show: values, bars and limits.
func (c *chart) extent() (low, high float64, ok bool) {
	low, high = math.Inf(1), math.Inf(-1)
	take := func(v float64) { low, high = math.Min(low, v), math.Max(high, v) }
	for _, p := range c.points {
		if p.value == nil {
			continue
		}
		ok = true
		doubt := 0.0
		if p.doubt != nil {
			doubt = *p.doubt
		}
		take(*p.value - doubt)
		take(*p.value + doubt)
		if p.plan != nil {
			take(*p.plan)
		}
	}
	for _, limit := range []*float64{c.window.low, c.window.high} {
		if limit != nil {
			take(*limit)
		}
	}
	return low, high, ok
}

// room is the width of a pass, and where the k-th begins.
func (c *chart) room(k int) (left, width float64) {
	width = (c.frame.end() - c.frame.left) / float64(len(c.points))
	return c.frame.left + width*float64(k), width
}

// windowBand shades what lies between the limits.
func (c *chart) windowBand(a axis) Layer {
	if c.window.low == nil && c.window.high == nil {
		return nil
	}
	f := c.frame
	top, bottom := f.top, f.foot()
	if c.window.low != nil {
		bottom = a.y(*c.window.low)
	}
	if c.window.high != nil {
		top = a.y(*c.window.high)
	}
	left, right := tenth(f.left), tenth(f.end())
	return Layer{Path{Class: "windowfill", Outline: Outline{}.move(left, tenth(top)).across(right).below(tenth(max(0, bottom-top))).across(left).close()}}
}

// guardBands show, pass by pass, where a limit is closer than the guard band.
func (c *chart) guardBands(a axis) Layer {
	inside := func(v float64) Number { return tenth(min(a.bottom, max(a.top, a.y(v)))) }
	var o Outline
	for k, p := range c.points {
		x, width := c.room(k)
		for _, limit := range []*float64{c.window.low, c.window.high} {
			if limit != nil && p.guard != nil && *p.guard > 0 {
				o = append(o, frameOf(tenth(x), inside(*limit+*p.guard), tenth(x+width), inside(*limit-*p.guard))...)
			}
		}
	}
	return pathOf("guard", o)
}

// pathOf is a layer of one path, empty where nothing is to be drawn.
func pathOf(class string, o Outline) Layer {
	if o == nil {
		return nil
	}
	return Layer{Path{Class: class, Outline: o}}
}

// limits are the lines of the window and their words, which stand outside of the
// window where there is room: the passes are inside.
func (c *chart) limits(a axis) (lines, words Layer) {
	f := c.frame
	at, class := tenth(f.end()), "end limitword"
	if last := len(c.points) - 1; c.points[last].value == nil && c.points[0].value != nil {
		at, class = tenth(f.left+6), "start limitword" // away from a last pass that is not known
	}
	add := func(limit *float64, below bool, name string) {
		if limit == nil {
			return
		}
		y := a.y(*limit)
		off := -5.0
		if below && y+18 <= f.foot() {
			off = 14
		}
		lines = append(lines, Path{Class: "limit", Outline: Outline{}.move(tenth(f.left), tenth(y)).across(tenth(f.end()))})
		words = append(words, Label{Class: class, X: at, Y: tenth(y), DY: tenth(off), Words: name + " limit " + sheet.Digits(limit, c.unit.Digits)})
	}
	add(c.window.low, true, "lower")
	add(c.window.high, false, "upper")
	return lines, words
}

// passNumbers stand below the plot, as many as there is room for.
func (c *chart) passNumbers() (labels Layer) {
	_, width := c.room(0)
	for k := 0; k < len(c.points); k += max(1, int(math.Ceil(34/width))) {
		labels = append(labels, Label{
			Class: "mid", X: tenth(c.middle(k)), Y: tenth(c.frame.foot() + 18), Words: strconv.Itoa(c.points[k].pass),
		})
	}
	return labels
}

func (c *chart) middle(k int) float64 {
	_, width := c.room(k)
	return c.frame.left + width*(float64(k)+0.5)
}

// plans are a short line at each planned value.
func (c *chart) plans(a axis) Layer {
	var o Outline
	for k, p := range c.points {
		if p.plan != nil {
			x, width := c.room(k)
			o = o.move(tenth(x+width*0.2), tenth(a.y(*p.plan))).across(tenth(x + width*0.8))
		}
	}
	return pathOf("planned", o)
}

// mark is one pass; one whose value is not known has no shape but a question mark at
// the foot.
func (c *chart) mark(k int, a axis) (shapes Layer) {
	p, x := c.points[k], c.middle(k)
	if p.value == nil {
		title := fmt.Sprintf("pass %d: not known", p.pass)
		return Layer{Label{Class: "mid", Title: title, X: tenth(x), Y: tenth(c.frame.foot() - 4), Words: "?"}}
	}
	if p.doubt != nil && *p.doubt > 0 {
		shapes = Layer{Path{Class: "bar", Outline: Outline{}.move(tenth(x), tenth(a.y(*p.value-*p.doubt))).down(tenth(a.y(*p.value + *p.doubt)))}}
	}
	_, width := c.room(k)
	size := math.Min(7, math.Max(2.2, width*0.36))
	title := strings.TrimSpace(fmt.Sprintf("pass %d: %s %s %s", p.pass, sheet.Digits(p.value, c.unit.Digits), c.unit.Name, p.words))
	return append(shapes, Path{Class: "mark " + p.sign, Title: title, Outline: signAt(p.sign, x, a.y(*p.value), size)})
}

// summary is the chart in words, for those who cannot see it.
func (c *chart) summary() string {
	var low, high *float64
	missing := 0
	for _, p := range c.points {
		switch {
		case p.value == nil:
			missing++
			continue
		case low == nil:
			low, high = p.value, p.value
		}
		if *p.value < *low {
			low = p.value
		}
		if *p.value > *high {
			high = p.value
		}
	}
	text := fmt.Sprintf("%s by pass: from %s to %s %s over %s", c.title, sheet.Digits(low, c.unit.Digits), sheet.Digits(high, c.unit.Digits),
		c.unit.Name, sheet.Plural(len(c.points), "pass", "passes"))
	if missing > 0 {
		text += fmt.Sprintf(", not known for %d", missing)
	}
	return text + "."
}
