package sheet

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"arctally/analyze/compare"
)

// overlayView is the page that draws a comparison, ready to print.
type overlayView struct {
	Title, Job, Record, Headline, Rule, This, Reference, Note string
	Parts                                                     []string
	Strips                                                    []*overlayStrip
}

// overlayStrip is one quantity of both along the way.
type overlayStrip struct {
	Title, Unit, Summary     string
	Width, Height            coord
	Left, Right, Top, Bottom coord
	PlotHeight               coord
	LabelX, LabelY           coord
	AxisName                 string
	Ticks, Along             []tick
	Parts                    []overlayBand
	This, Reference          string // paths
}

// overlayBand is a stretch on which the two part, with the number of its sentence.
type overlayBand struct {
	X, Width, Label coord
	Number          int
}

// ComparisonHTML draws a comparison into one file that loads nothing and runs no script.
func (s *Sheet) ComparisonHTML(w io.Writer, c *compare.Comparison) error {
	v := overlayView{
		Title: fmt.Sprintf("Pass %d laid over %s", c.Pass, c.Name()), Job: orDash(s.job.Name), Record: orDash(s.record),
		Headline: overlayHeadline(c), Rule: overlayRule(c), This: fmt.Sprintf("pass %d", c.Pass), Reference: c.Name(), Note: overlayWay(c),
	}
	for _, p := range c.Departures {
		v.Parts = append(v.Parts, p.Sentence)
	}
	for _, ch := range overlayChannels {
		if strip := overlayStripOf(c, ch); strip != nil {
			v.Strips = append(v.Strips, strip)
		}
	}
	if err := weldRecord.ExecuteTemplate(w, "overlay.html", v); err != nil {
		return fmt.Errorf("write comparison: %w", err)
	}
	return nil
}

func overlayWay(c *compare.Comparison) string {
	if c.Way == compare.ArcTime {
		return "Along the arc time from the start of each pass, because the angle is not known."
	}
	return "Along the turns of the layer: the fraction of a turn is the angle from the reference mark."
}

var overlayFrame = frame{1000, 210, 70, 14, 22, 36}

// overlayStripOf is nil where the quantity is not known of either.
func overlayStripOf(c *compare.Comparison, ch overlayChannel) *overlayStrip {
	low, high := math.Inf(1), math.Inf(-1)
	for k := range c.Lines {
		for _, v := range []*float64{ch.of(&c.Lines[k].This), ch.of(&c.Lines[k].Reference)} {
			if v != nil {
				low, high = math.Min(low, *v), math.Max(high, *v)
			}
		}
	}
	if len(c.Lines) == 0 || low > high {
		return nil
	}
	f := overlayFrame
	a := newAxis(low, high, f)
	if low >= 0 {
		a.low = math.Max(0, a.low)
	}
	s := &overlayStrip{
		Title: overlayTitle(ch), Unit: ch.unit, Width: coord(f.width), Height: coord(f.height), Left: coord(f.left), Right: coord(f.width - f.right),
		Top: coord(f.top), Bottom: coord(f.height - f.bottom), PlotHeight: coord(f.height - f.top - f.bottom),
		LabelX: coord(f.left - 8), LabelY: coord(f.height - f.bottom + 20), AxisName: wayName(c), Ticks: a.ticks(),
		Summary: fmt.Sprintf("%s of pass %d and of %s, bin by bin.", overlayTitle(ch), c.Pass, c.Name()),
	}
	x := alongWay(c)
	s.Along = overlayTicks(c, x)
	s.This = overlayPath(c, ch, a, x, func(l *compare.Line) *compare.Values { return &l.This })
	s.Reference = overlayPath(c, ch, a, x, func(l *compare.Line) *compare.Values { return &l.Reference })
	for k, p := range c.Departures {
		if p.Quantity == ch.quantity {
			from, to := x(float64(p.First)), x(float64(p.Last+1))
			s.Parts = append(s.Parts, overlayBand{coord(from), coord(math.Max(2, to-from)), coord((from + to) / 2), k + 1})
		}
	}
	return s
}

func overlayTitle(ch overlayChannel) string {
	return map[compare.Quantity]string{
		compare.Voltage: "Voltage", compare.Current: "Current", compare.Power: "Power", compare.Wire: "Wire speed", compare.Arc: "Arc time in a bin",
	}[ch.quantity]
}

// alongWay maps the number of a bin to a place across.
func alongWay(c *compare.Comparison) func(float64) float64 {
	f := overlayFrame
	first, span := float64(c.Lines[0].Number), float64(len(c.Lines))
	return func(number float64) float64 { return f.left + (number-first)/span*(f.width-f.left-f.right) }
}

func overlayTicks(c *compare.Comparison, x func(float64) float64) []tick {
	first, span := float64(c.Lines[0].Number)*c.Width, float64(len(c.Lines))*c.Width
	step := roundStep(span / 12)
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	var ticks []tick
	// adding 0 makes a negative zero positive
	for n := math.Ceil(first/step - 1e-9); n*step <= first+span*(1+1e-9); n++ {
		ticks = append(ticks, tick{coord(x(n * step / c.Width)), strconv.FormatFloat(n*step+0, 'f', decimals, 64)})
	}
	return ticks
}

// overlayPath draws the bins that are known, in the middle of each; where one is
// not known the line has a gap. Arc time of an empty bin is known: it is none.
func overlayPath(c *compare.Comparison, ch overlayChannel, a axis, x func(float64) float64, of func(*compare.Line) *compare.Values) string {
	var b strings.Builder
	pen := "M"
	for k := range c.Lines {
		l := &c.Lines[k]
		v := ch.of(of(l))
		if v == nil {
			pen = "M"
			continue
		}
		fmt.Fprintf(&b, "%s%s %s", pen, coord(x(float64(l.Number)+0.5)), coord(a.y(*v)))
		if pen == "M" {
			b.WriteString("h0.1") // a single bin shows too
		}
		pen = "L"
	}
	return b.String()
}
