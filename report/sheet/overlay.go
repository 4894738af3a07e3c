package sheet

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/compare"
)

// overlayChannel is one quantity of a comparison as people read it.
type overlayChannel struct {
	quantity   compare.Quantity
	name, unit string
	decimals   int
	of         func(*compare.Values) *float64
	fromSI     func(float64) *float64
}

func overlayChannelOf[Q quantity.Quantity](q compare.Quantity, name, unit string, decimals int, of func(*compare.Values) *Q) overlayChannel {
	return overlayChannel{
		q, name, unit, decimals, func(v *compare.Values) *float64 { return in(of(v), unit) },
		func(si float64) *float64 { return known(quantity.In(Q(si), unit)) },
	}
}

var overlayChannels = []overlayChannel{
	overlayChannelOf(compare.Voltage, "volts", "V", 2, func(v *compare.Values) *quantity.Volts { return v.Voltage }),
	overlayChannelOf(compare.Current, "amps", "A", 1, func(v *compare.Values) *quantity.Amperes { return v.Current }),
	overlayChannelOf(compare.Power, "power", "W", 0, func(v *compare.Values) *quantity.Watts { return v.Power }),
	overlayChannelOf(compare.Wire, "wire", "m/min", 2, func(v *compare.Values) *quantity.MetresPerSecond { return v.Wire }),
	overlayChannelOf(compare.Arc, "arc", "s", 1, func(v *compare.Values) *quantity.Seconds { return &v.Arc }),
}

// Widths of a row of the table, in turns and in seconds of arc, and how many rows
// a person reads.
var (
	turnRows   = []float64{1.0 / 24, 1.0 / 8, 0.25, 0.5, 1, 2, 5, 10, 20, 50, 100, 200}
	secondRows = []float64{0.5, 1, 2, 5, 10, 30, 60, 120, 300, 600, 1800, 3600, 14400}
)

const overlayRows = 30

// rowWidth returns the bins that one row takes.
func rowWidth(c *compare.Comparison) int {
	widths := turnRows
	if c.Way == compare.ArcTime {
		widths = secondRows
	}
	span := float64(len(c.Lines)) * c.Width
	for _, w := range widths {
		if w >= c.Width*0.999 && span/w <= overlayRows {
			return int(math.Round(w / c.Width))
		}
	}
	return len(c.Lines)/overlayRows + 1
}

// overlaySum joins bins to one row.
type overlaySum struct {
	this, reference [5]float64 // sums, weighted with the arc time
	arcs, refs      [5]float64
}

func (s *overlaySum) add(l *compare.Line) {
	for k, ch := range overlayChannels {
		a, b := ch.of(&l.This), ch.of(&l.Reference)
		if ch.quantity == compare.Arc {
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

func (s *overlaySum) of(k int) (this, reference, difference *float64) {
	this, reference = known(s.this[k]/s.arcs[k]), known(s.reference[k]/s.refs[k])
	if this != nil && reference != nil {
		difference = known(*this - *reference)
	}
	return this, reference, difference
}

// ComparisonTable writes a comparison as a table, with a sentence for each place
// at which the two part.
func (s *Sheet) ComparisonTable(w io.Writer, c *compare.Comparison) error {
	g := grid{columns: []column{{name: wayName(c), unit: wayUnit(c)}, {name: "angle", unit: "deg"}, {name: "depth", unit: "mm"}}}
	for _, ch := range overlayChannels {
		g.columns = append(g.columns, column{name: ch.name, unit: ch.unit}, column{name: "other", unit: ch.unit}, column{name: "apart", unit: ch.unit})
	}
	width := rowWidth(c)
	for at := 0; at < len(c.Lines); {
		first := c.Lines[at].Number
		var sum overlaySum
		end := at
		for ; end < len(c.Lines) && floorDiv(c.Lines[end].Number, width) == floorDiv(first, width); end++ {
			sum.add(&c.Lines[end])
		}
		g.add(overlayCells(c, at, &sum))
		at = end
	}
	var b strings.Builder
	fmt.Fprintf(&b, "comparison: pass %d laid over %s\njob %s, record %s\n\n", c.Pass, c.Name(), orDash(s.job.Name), orDash(s.record))
	if err := g.writeTo(&b); err != nil {
		return err
	}
	b.WriteString("\n")
	for _, line := range overlayNotes(c) {
		b.WriteString(strings.Join(wrap(line, pageWidth), "\n  ") + "\n")
	}
	if _, err := io.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("write comparison: %w", err)
	}
	return nil
}

func floorDiv(a, b int) int { return int(math.Floor(float64(a) / float64(b))) }

func overlayCells(c *compare.Comparison, at int, sum *overlaySum) []string {
	l := &c.Lines[at]
	from := float64(l.Number) * c.Width
	cells := []string{digits(&from, 2), dash, dash}
	if l.Placed {
		angle, depth := placeOf(&l.Place)
		cells[1], cells[2] = digits(angle, 0), digits(depth, 1)
	}
	for k, ch := range overlayChannels {
		this, reference, difference := sum.of(k)
		apart := digits(difference, ch.decimals)
		if strings.Trim(apart, "-.0") == "" {
			apart = unsigned(apart)
		} else if difference != nil {
			apart = signed(apart, *difference)
		}
		cells = append(cells, digits(this, ch.decimals), digits(reference, ch.decimals), apart)
	}
	return cells
}

func wayName(c *compare.Comparison) string {
	if c.Way == compare.ArcTime {
		return "arc"
	}
	return "turns"
}

func wayUnit(c *compare.Comparison) string {
	if c.Way == compare.ArcTime {
		return "s"
	}
	return ""
}

// overlayNotes say where the two part, and from what difference on.
func overlayNotes(c *compare.Comparison) []string {
	lines := []string{overlayHeadline(c)}
	for k, p := range c.Departures {
		lines = append(lines, fmt.Sprintf("%2d %s", k+1, p.Sentence))
	}
	return append(lines, overlayRule(c))
}

func overlayHeadline(c *compare.Comparison) string {
	if len(c.Departures) == 0 {
		return fmt.Sprintf("Pass %d nowhere parts from %s.", c.Pass, c.Name())
	}
	return fmt.Sprintf("Pass %d parts from %s at %s:", c.Pass, c.Name(), plural(len(c.Departures), "place", "places"))
}

// overlayRule is what counts as apart.
func overlayRule(c *compare.Comparison) string {
	var scales []string
	for _, scale := range c.Scales {
		for _, ch := range overlayChannels {
			if ch.quantity == scale.Quantity {
				scales = append(scales, string(scale.Quantity)+" "+digits(ch.fromSI(scale.Threshold), ch.decimals+1)+" "+ch.unit)
			}
		}
	}
	bins := quantity.Text(quantity.Degrees(360*c.Width), "deg", -1)
	if c.Way == compare.ArcTime {
		bins = quantity.Text(quantity.Seconds(c.Width), "s", -1) + " of arc, counted from the start because the angle is not known"
	}
	text := fmt.Sprintf("Bins of %s. Apart is more than %s robust standard deviations of a bin, and more than %s of the level, for longer than %s of arc",
		bins, strconv.FormatFloat(c.Options.Deviations, 'g', -1, 64), quantity.Text(c.Options.Share, "%", -1), quantity.Text(c.Options.Dwell, "s", -1))
	if len(scales) > 0 {
		text += ": " + strings.Join(scales, ", ")
	}
	return text + ". Only a person judges what it means."
}

// unsigned takes the sign from a nought; a dash stays one.
func unsigned(text string) string {
	if text == dash {
		return text
	}
	return strings.TrimPrefix(text, "-")
}
