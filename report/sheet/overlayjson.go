package sheet

import (
	"io"

	"arctally/analyze/compare"
)

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
		Record: s.record, Job: s.job.Name, Pass: c.Pass, With: positive(c.With), Good: c.Good, Way: string(c.Way), Width: c.Width,
		Deviations: c.Options.Deviations, Share: float64(c.Options.Share), Dwell: float64(c.Options.Dwell),
		Scales: []ComparisonScale{}, Bins: []ComparisonBin{}, Parts: []ComparisonPart{},
	}
	for k := range c.Lines {
		o.Bins = append(o.Bins, comparisonBin(c, &c.Lines[k]))
	}
	for _, ch := range overlayChannels {
		for _, scale := range c.Scales {
			if scale.Quantity == ch.quantity {
				o.Scales = append(o.Scales, ComparisonScale{string(ch.quantity), ch.fromSI(scale.Deviation), ch.fromSI(scale.Threshold), ch.unit})
			}
		}
		for k := range c.Departures {
			if c.Departures[k].Quantity == ch.quantity {
				o.Parts = append(o.Parts, comparisonPart(&c.Departures[k], ch))
			}
		}
	}
	return o
}

func comparisonBin(c *compare.Comparison, l *compare.Line) ComparisonBin {
	b := ComparisonBin{Number: l.Number, From: float64(l.Number) * c.Width, This: comparisonValues(&l.This), Reference: comparisonValues(&l.Reference)}
	if l.Placed {
		b.Angle, b.Depth = placeOf(&l.Place)
	}
	return b
}

func comparisonValues(v *compare.Values) ComparisonValues {
	return ComparisonValues{plain(v.Voltage), plain(v.Current), plain(v.Power), in(v.Wire, "m/min"), plain(&v.Arc), plain(&v.Unseen)}
}

func comparisonPart(p *compare.Departure, ch overlayChannel) ComparisonPart {
	part := ComparisonPart{
		Quantity: string(p.Quantity), FirstBin: p.First, LastBin: p.Last, Lasted: plain(&p.Lasted),
		Mean: ch.fromSI(p.Mean), Worst: ch.fromSI(p.Worst), Unit: ch.unit, Sentence: p.Sentence,
	}
	if p.Placed {
		part.FromAngle, part.FromDepth = placeOf(&p.From)
		part.ToAngle, part.ToDepth = placeOf(&p.To)
	}
	return part
}
