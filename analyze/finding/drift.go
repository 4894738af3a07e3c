package finding

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/analyze/finding/chart"
	"arctally/analyze/pass"
)

// How passes are charted. Smoothing and width are those of the published
// examples (check values ST-01 to ST-03); the number of passes is ours.
const (
	chartedPasses = 8
	driftLambda   = 0.3
	driftWidth    = 3.0
)

// drift charts one feature of the passes: the first good ones set the limits, an
// EWMA of all that follow is held against them.
type drift struct {
	rule    Rule
	of      func(*shapeWatch, *pass.Pass) (float64, bool)
	least   float64 // spread over the mean, where the good passes show less; ours, no source
	first   chart.Individuals
	average *chart.EWMA
	out     bool
	refused bool
}

func newDrifts() []*drift {
	return []*drift{
		{rule: ContactDrift, least: 0.01, of: func(s *shapeWatch, _ *pass.Pass) (float64, bool) {
			return s.law.Slope(), s.law.Known()
		}},
		{rule: Instability, least: 0.1, of: func(_ *shapeWatch, p *pass.Pass) (float64, bool) {
			if p.Waveform == nil || p.Waveform.Instability == nil {
				return 0, false
			}
			return float64(*p.Waveform.Instability), true
		}},
	}
}

// driftOf charts a pass.
func (s *shapeWatch) driftOf(p *pass.Pass, good bool) {
	for _, d := range s.drift {
		if x, ok := d.of(s, p); ok && (good || d.average != nil) {
			d.add(x, func(worst, limit float64) {
				s.watch.add(Finding{Rule: d.rule, Start: p.Start, Place: p.StartPlace, Duration: p.Elapsed, Worst: worst, Limit: limit})
				if d.rule == ContactDrift && p.CurrentMean != nil {
					s.tellDistance(worst/d.average.Start, *p.CurrentMean)
				}
			})
		}
	}
}

// tellDistance adds to the finding just filed by how much the contact distance
// has grown, where the job declares what the current loses by it. The same wire
// takes I = w/x amperes at a wire speed for an ampere of x, so that a rise of x
// by a factor r at the current I means a fall of the current by I*(r - 1), and
//
//	distance = I*(r - 1)/c
//
// with c the declared current_per_distance.
func (s *shapeWatch) tellDistance(rise float64, current quantity.Amperes) {
	c := s.watch.job.Setpoints.CurrentPerDistance
	if c == 0 {
		return
	}
	grown := quantity.Metres(float64(current) * (rise - 1) / float64(c))
	f := &s.watch.found[len(s.watch.found)-1]
	f.Sentence += fmt.Sprintf("; by the declared %s that is %s of distance from tip to wall", quantity.Text(c, "A/mm", 2), signed(grown))
}

func signed(x quantity.Metres) string {
	if x < 0 {
		return quantity.Text(-x, "mm", 1) + " less"
	}
	return quantity.Text(x, "mm", 1) + " more"
}

// add takes the feature of the next good pass.
func (d *drift) add(x float64, report func(worst, limit float64)) {
	if d.average == nil {
		d.first.Add(x)
		if d.first.Moments().Count() == chartedPasses {
			d.begin()
		}
		return
	}
	if d.refused {
		return
	}
	d.average.Add(x)
	low, high := d.average.Limits()
	beyond := quantity.Range[quantity.Ratio]{Low: quantity.Ratio(low), High: quantity.Ratio(high), HasLow: true, HasHigh: true}.Beyond(quantity.Ratio(d.average.Average()))
	if beyond != 0 && !d.out {
		report(d.average.Average(), d.average.Average()-float64(beyond))
	}
	d.out = beyond != 0
}

// begin sets the limits, widened where passes resemble the one before them.
func (d *drift) begin() {
	m := d.first.Moments()
	widen, ok := m.Widening()
	sigma := max(d.first.Sigma(), d.least*m.Mean())
	if widen > 1 {
		sigma = max(sigma, widen*m.Deviation())
	}
	d.average = &chart.EWMA{Lambda: driftLambda, Start: m.Mean(), Sigma: sigma, Width: driftWidth}
	d.refused = !ok
}

// PassChart is where the chart of one feature of the passes stands. Values are in
// the SI unit of the rule.
type PassChart struct {
	Rule            Rule
	Passes          int     // that set the limits
	Mean, Low, High float64 // of single passes
	RangeLimit      float64 // of the step from one pass to the next
	Average         float64 // EWMA of the passes since
	Refused         bool    // the passes follow one another too closely for limits
}

// PassCharts returns the charts that have their limits.
func (w *Watch) PassCharts() []PassChart {
	var all []PassChart
	for _, d := range w.shape.drift {
		if d.average == nil {
			continue
		}
		c := PassChart{
			Rule: d.rule, Passes: d.first.Moments().Count(), Mean: d.average.Start, RangeLimit: d.first.RangeLimit(),
			Average: d.average.Average(), Refused: d.refused,
		}
		c.Low, c.High = d.first.Limits()
		all = append(all, c)
	}
	return all
}
