package finding

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/analyze/finding/chart"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// How passes are charted. Smoothing and width are those of the published
// examples (check values ST-01 to ST-03); the number of passes is ours.
const (
	chartedPasses = 8
	chartLambda   = 0.3
	chartWidth    = 3.0
)

// chartRule judges one feature of the passes from pass to pass.
type chartRule struct {
	of    func(*wave, *pass.Pass) (float64, bool)
	name  string
	least float64 // spread over the mean, where the good passes show less; ours, no source
	// adds is what the sentence says on, of how many times the first mean the average
	// has come to.
	adds func(job *procedure.Job, p *pass.Pass, rise float64) string
}

// slope is the wire speed for an ampere.
func slope(w *wave, _ *pass.Pass) (float64, bool) { return w.law.Slope(), w.law.Known() }

// instability is that of the short-circuit cycles.
func instability(_ *wave, p *pass.Pass) (float64, bool) {
	if p.Waveform == nil || p.Waveform.Instability == nil {
		return 0, false
	}
	return float64(*p.Waveform.Instability), true
}

// charts judges the passes against the first good ones, and has the wave learn
// from those without a finding.
type charts struct {
	deaf
	*ledger
	wave  *wave
	rules []*passChart
}

func newCharts(l *ledger, w *wave) *charts {
	c := &charts{ledger: l, wave: w}
	for k := range table {
		if r := &table[k]; r.chart != nil {
			c.rules = append(c.rules, &passChart{rule: r.rule, by: r.chart})
		}
	}
	return c
}

// End implements pass.Listener.
func (c *charts) End(p *pass.Pass) {
	good := p.Findings == 0
	for _, d := range c.rules {
		if x, ok := d.by.of(c.wave, p); ok && (good || d.average != nil) {
			if limit, out := d.add(x); out {
				c.drifted(d, p, limit)
			}
		}
	}
	if good {
		c.wave.learn()
	}
}

// drifted files what a chart shows.
func (c *charts) drifted(d *passChart, p *pass.Pass, limit float64) {
	f := overall(p, d.average.Average(), limit)
	f.Rule = d.rule
	c.add(f)
	if d.by.adds != nil {
		c.found[len(c.found)-1].Sentence += d.by.adds(c.job, p, f.Worst/d.average.Start)
	}
}

// distance tells by how much the contact distance has grown, where the job declares
// what the current loses by it. The same wire takes I = w/x amperes at a wire speed
// for an ampere of x, so that a rise of x by a factor r at the current I means a
// fall of the current by I*(r - 1), and
//
//	distance = I*(r - 1)/c
//
// with c the declared current_per_distance. Ours: plain arithmetic.
func distance(job *procedure.Job, p *pass.Pass, rise float64) string {
	c := job.Setpoints.CurrentPerDistance
	if c == 0 || p.CurrentMean == nil {
		return ""
	}
	grown := quantity.Metres(float64(*p.CurrentMean) * (rise - 1) / float64(c))
	return fmt.Sprintf("; by the declared %s that is %s of distance from tip to wall", quantity.Text(c, "A/mm", 2), signed(grown))
}

func signed(x quantity.Metres) string {
	if x < 0 {
		return quantity.Text(-x, "mm", 1) + " less"
	}
	return quantity.Text(x, "mm", 1) + " more"
}

// refused says which features are not charted.
func (c *charts) refused() (why []string) {
	for _, d := range c.rules {
		if d.refused {
			why = append(why, rowOf(d.rule).what+" follows itself too closely from pass to pass for control limits: it is not charted")
		}
	}
	return why
}

// passChart charts one feature of the passes: the first good ones set the limits,
// an EWMA of all that follow is held against them.
type passChart struct {
	rule    Rule
	by      *chartRule
	first   chart.Individuals
	average *chart.EWMA // nil as long as there are no limits
	out     bool
	refused bool
}

// add takes the feature of the next good pass, or of any once there are limits. It
// returns the limit that the average has just passed.
func (d *passChart) add(x float64) (limit float64, out bool) {
	switch {
	case d.average == nil:
		d.first.Add(x)
		if d.first.Moments().Count() == chartedPasses {
			d.begin()
		}
		return 0, false
	case d.refused:
		return 0, false
	}
	d.average.Add(x)
	low, high := d.average.Limits()
	within := limits{Low: quantity.Ratio(low), High: quantity.Ratio(high), HasLow: true, HasHigh: true}
	limit, out = outside(d.average.Average(), within)
	before := d.out
	d.out = out
	return limit, out && !before
}

// begin sets the limits, widened where passes resemble the one before them.
func (d *passChart) begin() {
	m := d.first.Moments()
	widen, ok := m.Widening()
	sigma := max(d.first.Sigma(), d.by.least*m.Mean())
	if widen > 1 {
		sigma = max(sigma, widen*m.Deviation())
	}
	d.average = &chart.EWMA{Lambda: chartLambda, Start: m.Mean(), Sigma: sigma, Width: chartWidth}
	d.refused = !ok
}

// PassChart is where the chart of one feature of the passes stands. Values are in
// the SI unit of the rule.
type PassChart struct {
	Rule            Rule
	Name            string  // of the feature
	Passes          int     // that set the limits
	Mean, Low, High float64 // of single passes
	RangeLimit      float64 // of the step from one pass to the next
	Average         float64 // EWMA of the passes since
	Refused         bool    // the passes follow one another too closely for limits
}

// all returns the charts that have their limits.
func (c *charts) all() (all []PassChart) {
	for _, d := range c.rules {
		if d.average == nil {
			continue
		}
		x := PassChart{
			Rule: d.rule, Name: d.by.name, Passes: d.first.Moments().Count(), Mean: d.average.Start, RangeLimit: d.first.RangeLimit(),
			Average: d.average.Average(), Refused: d.refused,
		}
		x.Low, x.High = d.first.Limits()
		all = append(all, x)
	}
	return all
}
