package onepage

import (
	"fmt"
	"html/template"

	"arctally/acquire/foreign"
	"arctally/report/fleet"
	"arctally/report/sheet"
)

// The frame of a chart, in dots: where its drawing begins and ends.
const (
	left, right = 10., 590.
	top, bottom = 12., 128.
)

// drawing is a chart ready to be drawn.
type drawing struct {
	Words string
	Lines []level
	Path  string
	Dots  []dot
}

// level is a line across the frame.
type level struct {
	Class, Words string
	Y            string
}

// dot is one job.
type dot struct {
	X, Y    string
	Outside bool
	Words   string
	Link    template.URL
}

// scale brings a value into the frame.
type scale struct{ low, high float64 }

// y is its height: the greatest stands at the top.
func (s scale) y(v float64) string {
	return fmt.Sprintf("%.1f", bottom-(v-s.low)/(s.high-s.low)*(bottom-top))
}

// draw draws the newest jobs of a chart between its limits.
func draw(at string, c fleet.Chart) (d drawing) {
	s := scaleOf(&c)
	d.Words = fmt.Sprintf("%s: the newest %s", textOr(c.Name, "no procedure named"), sheet.Plural(len(c.Newest), "job", "jobs"))
	for _, l := range []struct {
		class, words string
		at           *float64
	}{{"limit", "high", c.High}, {"mean", "mean", c.Mean}, {"limit", "low", c.Low}} {
		if l.at != nil {
			d.Lines = append(d.Lines, level{l.class, l.words + " " + sheet.Digits(l.at, c.Decimals()), s.y(*l.at)})
		}
	}
	for k := range c.Newest {
		one := &c.Newest[k]
		x := fmt.Sprintf("%.1f", left+(right-left)*(float64(k)+0.5)/float64(len(c.Newest)))
		step := "L"
		if k == 0 {
			step = "M"
		}
		d.Path += step + x + " " + s.y(one.Value)
		d.Dots = append(d.Dots, dot{
			x, s.y(one.Value), one.Outside, fmt.Sprintf("%s, %s, %s", foreign.Line(one.Record)+one.Mark(), one.At[:min(10, len(one.At))], sheet.Digits(&one.Value, c.DecimalsOf(one))), link(at, one.Place),
		})
	}
	return d
}

// scaleOf has room for all that is drawn; what does not vary stands in the middle.
func scaleOf(c *fleet.Chart) scale {
	s := scale{*c.Mean, *c.Mean}
	take := func(v float64) { s.low, s.high = min(s.low, v), max(s.high, v) }
	for k := range c.Newest {
		take(c.Newest[k].Value)
	}
	for _, v := range []*float64{c.Low, c.High} {
		if v != nil {
			take(*v)
		}
	}
	if !(s.high > s.low) {
		s.low, s.high = s.low-1, s.high+1
	}
	return s
}
