package sheet

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/compare"
)

// ComparedChannel is one quantity of a comparison as people read it.
type ComparedChannel struct {
	Quantity    compare.Quantity
	Name, Title string // heading a column, and a chart
	Unit        Unit
	Of          func(*compare.Values) *float64
	fromSI      func(float64) *float64
}

func comparedChannel[Q quantity.Quantity](q compare.Quantity, name, title string, unit Unit, of func(*compare.Values) *Q) ComparedChannel {
	return ComparedChannel{
		q, name, title, unit, func(v *compare.Values) *float64 { return In(of(v), unit.Name) },
		func(si float64) *float64 { return Known(quantity.In(Q(si), unit.Name)) },
	}
}

// ComparedChannels are what a comparison compares, in the order of its views, in metric units.
var ComparedChannels = ComparedIn(Metric)

// ComparedIn are what a comparison compares, in the units of a reader.
func ComparedIn(u Units) []ComparedChannel {
	return []ComparedChannel{
		comparedChannel(compare.Voltage, "volts", "Voltage", Unit{"V", 2}, func(v *compare.Values) *quantity.Volts { return v.Voltage }),
		comparedChannel(compare.Current, "amps", "Current", Unit{"A", 1}, func(v *compare.Values) *quantity.Amperes { return v.Current }),
		comparedChannel(compare.Power, "power", "Power", Unit{"W", 0}, func(v *compare.Values) *quantity.Watts { return v.Power }),
		comparedChannel(compare.Wire, "wire", "Wire speed", u.Set().Feed, func(v *compare.Values) *quantity.MetresPerSecond { return v.Wire }),
		comparedChannel(compare.Arc, "arc", "Arc time in a bin", Unit{"s", 1}, func(v *compare.Values) *quantity.Seconds { return &v.Arc }),
	}
}

// WayName heads the axis along which two passes are laid over each other.
func WayName(c *compare.Comparison) string {
	if c.Way == compare.ArcTime {
		return "arc"
	}
	return "turns"
}

// ComparisonHeadline says at how many places the two part.
func ComparisonHeadline(c *compare.Comparison) string {
	if len(c.Departures) == 0 {
		return fmt.Sprintf("Pass %d nowhere parts from %s.", c.Pass, c.Name())
	}
	return fmt.Sprintf("Pass %d parts from %s at %s:", c.Pass, c.Name(), Plural(len(c.Departures), "place", "places"))
}

// ComparisonRule is what counts as apart.
func ComparisonRule(c *compare.Comparison, u Units) string {
	var scales []string
	for _, scale := range c.Scales {
		for _, ch := range ComparedIn(u) {
			if ch.Quantity == scale.Quantity {
				scales = append(scales, string(scale.Quantity)+" "+Digits(ch.fromSI(scale.Threshold), ch.Unit.Digits+1)+" "+ch.Unit.Name)
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

// ComparisonValues are the means of a bin; null is not known.
type ComparisonValues struct {
	Voltage *float64 `json:"voltage_v"`
	Current *float64 `json:"current_a"`
	Power   *float64 `json:"power_w"`
	Wire    *float64 `json:"wire_speed_m_min"`
	ArcTime *float64 `json:"arc_time_s"`
	Unseen  *float64 `json:"without_data_s"`
}

// ComparisonBin is one bin of both.
type ComparisonBin struct {
	Number    int              `json:"bin"`
	From      float64          `json:"from"` // turns, or seconds of arc
	Angle     *float64         `json:"angle_deg"`
	Depth     *float64         `json:"depth_mm"`
	This      ComparisonValues `json:"this"`
	Reference ComparisonValues `json:"reference"`
}

// ComparisonPart is a stretch on which the two part; mean and worst are in Unit.
type ComparisonPart struct {
	Quantity  string   `json:"quantity"`
	FirstBin  int      `json:"first_bin"`
	LastBin   int      `json:"last_bin"`
	FromAngle *float64 `json:"from_deg"`
	ToAngle   *float64 `json:"to_deg"`
	FromDepth *float64 `json:"from_mm"`
	ToDepth   *float64 `json:"to_mm"`
	Lasted    *float64 `json:"arc_time_s"`
	Mean      *float64 `json:"mean_difference"`
	Worst     *float64 `json:"worst_difference"`
	Unit      string   `json:"unit"`
	Sentence  string   `json:"sentence"`
}

// ComparisonScale says from what difference on a quantity counts as apart.
type ComparisonScale struct {
	Quantity  string   `json:"quantity"`
	Deviation *float64 `json:"robust_standard_deviation"`
	Threshold *float64 `json:"threshold"`
	Unit      string   `json:"unit"`
}

// ComparisonObject is the whole comparison.
type ComparisonObject struct {
	Record     string            `json:"record"`
	Job        string            `json:"job"`
	Pass       int               `json:"pass"`
	With       *int              `json:"with"` // null: the median of good_passes
	Good       []int             `json:"good_passes"`
	Way        string            `json:"along"` // turns, arc time
	Width      float64           `json:"bin_width"`
	Deviations float64           `json:"deviations"`
	Share      float64           `json:"share_of_level"`
	Dwell      float64           `json:"dwell_s"`
	Scales     []ComparisonScale `json:"scales"`
	Bins       []ComparisonBin   `json:"bins"`
	Parts      []ComparisonPart  `json:"parts"`
}

// ComparisonJSON writes a comparison in full precision.
func (s *Sheet) ComparisonJSON(w io.Writer, c *compare.Comparison) error {
	return writeJSON(w, s.Comparison(c))
}

// Comparison returns a comparison as rows.
func (s *Sheet) Comparison(c *compare.Comparison) ComparisonObject {
	o := ComparisonObject{
		Record: s.Record, Job: s.Job.Name, Pass: c.Pass, With: positive(c.With), Good: c.Good, Way: string(c.Way), Width: c.Width,
		Deviations: c.Options.Deviations, Share: float64(c.Options.Share), Dwell: float64(c.Options.Dwell),
		Scales: []ComparisonScale{}, Bins: []ComparisonBin{}, Parts: []ComparisonPart{},
	}
	for k := range c.Lines {
		o.Bins = append(o.Bins, comparisonBin(c, &c.Lines[k]))
	}
	for _, ch := range ComparedChannels {
		for _, scale := range c.Scales {
			if scale.Quantity == ch.Quantity {
				o.Scales = append(o.Scales, ComparisonScale{string(ch.Quantity), ch.fromSI(scale.Deviation), ch.fromSI(scale.Threshold), ch.Unit.Name})
			}
		}
		for k := range c.Departures {
			if c.Departures[k].Quantity == ch.Quantity {
				o.Parts = append(o.Parts, comparisonPart(&c.Departures[k], ch))
			}
		}
	}
	return o
}

func comparisonBin(c *compare.Comparison, l *compare.Line) ComparisonBin {
	b := ComparisonBin{Number: l.Number, From: float64(l.Number) * c.Width, This: comparisonValues(&l.This), Reference: comparisonValues(&l.Reference)}
	if l.Placed {
		b.Angle, b.Depth = PlaceOf(&l.Place)
	}
	return b
}

func comparisonValues(v *compare.Values) ComparisonValues {
	return ComparisonValues{Plain(v.Voltage), Plain(v.Current), Plain(v.Power), In(v.Wire, "m/min"), Plain(&v.Arc), Plain(&v.Unseen)}
}

func comparisonPart(p *compare.Departure, ch ComparedChannel) ComparisonPart {
	part := ComparisonPart{
		Quantity: string(p.Quantity), FirstBin: p.First, LastBin: p.Last, Lasted: Plain(&p.Lasted),
		Mean: ch.fromSI(p.Mean), Worst: ch.fromSI(p.Worst), Unit: ch.Unit.Name, Sentence: p.Sentence,
	}
	if p.Placed {
		part.FromAngle, part.FromDepth = PlaceOf(&p.From)
		part.ToAngle, part.ToDepth = PlaceOf(&p.To)
	}
	return part
}
