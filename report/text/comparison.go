package text

import (
	"fmt"
	"io"
	"math"
	"strings"

	"arctally/analyze/compare"
	"arctally/report/sheet"
)

// Widths of a row of the table, in turns and in seconds of arc, and how many rows
// a person reads.
var (
	turnRows   = []float64{1.0 / 24, 1.0 / 8, 0.25, 0.5, 1, 2, 5, 10, 20, 50, 100, 200}
	secondRows = []float64{0.5, 1, 2, 5, 10, 30, 60, 120, 300, 600, 1800, 3600, 14400}
)

const mostRows = 30

// rowWidth returns the bins that one row takes.
func rowWidth(c *compare.Comparison) int {
	widths := turnRows
	if c.Way == compare.ArcTime {
		widths = secondRows
	}
	span := float64(len(c.Lines)) * c.Width
	for _, w := range widths {
		if w >= c.Width*0.999 && span/w <= mostRows {
			return int(math.Round(w / c.Width))
		}
	}
	return len(c.Lines)/mostRows + 1
}

// binSum joins bins to one row.
type binSum struct {
	this, reference [5]float64 // sums, weighted with the arc time
	arcs, refs      [5]float64
}

func (s *binSum) add(compared []sheet.ComparedChannel, l *compare.Line) {
	for k, ch := range compared {
		a, b := ch.Of(&l.This), ch.Of(&l.Reference)
		if ch.Quantity == compare.Arc {
			s.this[k], s.arcs[k] = s.this[k]+*a, 1
			s.reference[k], s.refs[k] = s.reference[k]+*b, 1
			continue
		}
		if a != nil {
			s.this[k] += *a * float64(l.This.Arc)
			s.arcs[k] += float64(l.This.Arc)
		}
		if b != nil {
			s.reference[k] += *b * float64(l.Reference.Arc)
			s.refs[k] += float64(l.Reference.Arc)
		}
	}
}

func (s *binSum) of(k int) (this, reference, difference *float64) {
	this, reference = sheet.Known(s.this[k]/s.arcs[k]), sheet.Known(s.reference[k]/s.refs[k])
	if this != nil && reference != nil {
		difference = sheet.Known(*this - *reference)
	}
	return this, reference, difference
}

// Comparison writes a comparison as a table, with a sentence for each place
// at which the two part.
func Comparison(w io.Writer, s *sheet.Sheet, u sheet.Units, c *compare.Comparison) error {
	depth, compared := u.Set().Depth, sheet.ComparedIn(u)
	g := grid{columns: []column{{name: sheet.WayName(c), unit: wayUnit(c)}, {name: "angle", unit: "deg"}, {name: "depth", unit: depth.Name}}}
	for _, ch := range compared {
		g.columns = append(g.columns, column{name: ch.Name, unit: ch.Unit.Name}, column{name: "other", unit: ch.Unit.Name}, column{name: "apart", unit: ch.Unit.Name})
	}
	width := rowWidth(c)
	for at := 0; at < len(c.Lines); {
		first := c.Lines[at].Number
		var sum binSum
		end := at
		for ; end < len(c.Lines) && floorDiv(c.Lines[end].Number, width) == floorDiv(first, width); end++ {
			sum.add(compared, &c.Lines[end])
		}
		g.add(binCells(c, at, &sum, compared, depth))
		at = end
	}
	var p page
	p.printf("comparison: pass %d laid over %s\njob %s, record %s\n\n", c.Pass, c.Name(), sheet.OrDash(s.Job.Name), sheet.OrDash(s.Record))
	p.table(&g, comparisonNotes(c, u)...)
	return p.writeTo(w, "comparison")
}

func floorDiv(a, b int) int { return int(math.Floor(float64(a) / float64(b))) }

func binCells(c *compare.Comparison, at int, sum *binSum, compared []sheet.ComparedChannel, deep sheet.Unit) []string {
	l := &c.Lines[at]
	from := float64(l.Number) * c.Width
	cells := []string{sheet.Digits(&from, 2), sheet.Dash, sheet.Dash}
	if l.Placed {
		cells[1], cells[2] = sheet.Digits(sheet.Plain(&l.Place.Angle), 0), sheet.Show(&l.Place.Depth, deep)
	}
	for k, ch := range compared {
		this, reference, difference := sum.of(k)
		apart := sheet.Digits(difference, ch.Unit.Digits)
		if strings.Trim(apart, "-.0") == "" {
			apart = unsigned(apart)
		} else if difference != nil {
			apart = sheet.Signed(apart, *difference)
		}
		cells = append(cells, sheet.Digits(this, ch.Unit.Digits), sheet.Digits(reference, ch.Unit.Digits), apart)
	}
	return cells
}

func wayUnit(c *compare.Comparison) string {
	if c.Way == compare.ArcTime {
		return "s"
	}
	return ""
}

// comparisonNotes say where the two part, and from what difference on.
func comparisonNotes(c *compare.Comparison, u sheet.Units) []string {
	lines := []string{sheet.ComparisonHeadline(c)}
	for k, p := range c.Departures {
		lines = append(lines, fmt.Sprintf("%2d %s", k+1, u.Words(p.Sentence)))
	}
	return append(lines, sheet.ComparisonRule(c, u))
}

// unsigned takes the sign from a nought; a dash stays one.
func unsigned(text string) string {
	if text == sheet.Dash {
		return text
	}
	return strings.TrimPrefix(text, "-")
}
