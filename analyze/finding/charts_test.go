package finding

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/waveform"
)

func contactDrift() *passChart { return newCharts(nil, nil).rules[0] }

// drifted charts passes, and returns the number of the first that is reported.
func drifted(d *passChart, passes int, of func(k int) float64) (first int, worst float64) {
	for k := range passes {
		if _, out := d.add(of(k)); out && first == 0 {
			first, worst = k+1, d.average.Average()
		}
	}
	return first, worst
}

func TestDrift_tipWear(t *testing.T) {
	steady := func(k int) float64 { return 0.655e-3 * (1 + 0.002*math.Sin(float64(k)*2.3)) }
	first, _ := drifted(contactDrift(), 60, steady)
	require.Zero(t, first, "nothing drifts")

	// From the tenth pass on, one part in three hundred more with each.
	first, worst := drifted(contactDrift(), 60, func(k int) float64 { return steady(k) * (1 + max(0, float64(k-9))/300) })
	require.Greater(t, first, 10)
	require.Less(t, first, 20)
	require.Greater(t, worst, 0.655e-3)
}

func TestDrift_refusesATrendFromTheBeginning(t *testing.T) {
	d := contactDrift()
	first, _ := drifted(d, 30, func(k int) float64 { return 0.6e-3 * (1 + float64(k)/100) })
	require.True(t, d.refused || first > 0, "a trend in the reference itself is either refused or found")
}

// By hand. Eight passes at 2 and 4 by turns: the mean is 3, the mean range 2, which gives
// 2/1.128 = 1.773 for the standard deviation, more than their own of 1.069. The first
// average has 0.3*3*1.773 = 1.596 for its limit: one pass at 8.33 takes it to 4.599, above
// 4.596, one at 8.31 to 4.593.
func TestPassChart_byHand(t *testing.T) {
	for next, want := range map[float64]bool{8.33: true, 8.31: false, -2.33: true, -2.31: false} {
		d := &passChart{by: &chartRule{least: 0.01}}
		for k := range 8 {
			_, out := d.add(2 + 2*float64(k%2))
			require.False(t, out)
		}
		require.NotNil(t, d.average, "eight passes set the limits")
		limit, out := d.add(next)
		require.Equal(t, want, out, next)
		require.InDelta(t, 3+0.3*(next-3), d.average.Average(), 1e-12)
		if out {
			require.InDelta(t, 3+math.Copysign(0.9*2/1.128, next-3), limit, 1e-12)
			_, out = d.add(next)
			require.False(t, out, "it is told once, for as long as it is out")
			for range 20 {
				_, out = d.add(3)
				require.False(t, out)
			}
			_, out = d.add(100)
			require.True(t, out, "and again once it has been back")
		}
	}
}

// Where the passes show less spread than anybody needs, the least one stands in.
func TestPassChart_leastSpread(t *testing.T) {
	d := &passChart{by: &chartRule{least: 0.1}}
	for range 8 {
		d.add(50)
	}
	require.Equal(t, 5.0, d.average.Sigma)
	require.Equal(t, 50.0, d.average.Start)
	require.Equal(t, 3.0, d.average.Width)
	require.Equal(t, 0.3, d.average.Lambda)
}

// Where each pass follows the one before, the limits are widened. Of 3, 2, 1, 0, 0, 1, 2, 3,
// about 1.5, r1 is (2*(1.5*0.5 - 0.25 + 1.5*0.5) + 2.25)/10 = 0.475, no more than chance does;
// of 0, 1, 3, 5, 6, 7 and so on it is. Limits are refused from 0.8 on.
func TestPassChart_widened(t *testing.T) {
	add := func(values ...float64) *passChart {
		d := &passChart{by: &chartRule{least: 0.001}}
		for _, x := range values {
			d.add(x)
		}
		return d
	}
	d := add(3, 2, 1, 0, 0, 1, 2, 3)
	require.InDelta(t, 6.0/7/1.128, d.average.Sigma, 1e-12, "by the range alone, though their own spread is 1.195")
	// Of 0 0 0 0 8 8 8 8, about 4, r1 is (3*16 - 16 + 3*16)/128 = 0.625: chance does 0.707.
	d = add(0, 0, 0, 0, 8, 8, 8, 8)
	require.InDelta(t, 8.0/7/1.128, d.average.Sigma, 1e-12)
	// Twice as many of each are 14*16 - 16 over 256: 0.8125, but eight is the most there is.
	d = &passChart{by: &chartRule{least: 0.001}}
	for _, x := range []float64{0, 1, 2, 3, 4, 5, 6, 7} {
		d.first.Add(x)
	}
	m := d.first.Moments()
	require.InDelta(t, 0.625, m.Autocorrelation(), 1e-12)
	d.begin()
	require.InDelta(t, 1/1.128, d.average.Sigma, 1e-12)
	d = &passChart{by: &chartRule{least: 0.001}}
	for k := range 16 { // 0.8125 of sixteen
		d.first.Add(float64(8 * (k / 8)))
	}
	d.begin()
	require.True(t, d.refused)
	_, out := d.add(1000)
	require.False(t, out, "what is refused is not held against anything")
	d = &passChart{by: &chartRule{least: 0.001}}
	for k := range 12 { // (10*16 - 16)/192 is 0.75, and chance does 0.577
		d.first.Add(float64(8 * (k / 6)))
	}
	d.begin()
	require.False(t, d.refused)
	require.InDelta(t, math.Sqrt(1.75/0.25)*math.Sqrt(192.0/11), d.average.Sigma, 1e-9)
}

// chartWeld lays so many good passes of 21 looks, each with a current and an
// instability.
func (w *weld) chartPasses(n int, amperes quantity.Amperes, instability quantity.Ratio) {
	for range n {
		w.lookTimes(21, func(s *waveform.Statistics) { s.Current = amperes })
		w.pass.CurrentMean = &amperes
		w.pass.Waveform = &waveform.Statistics{Instability: &instability}
		w.pass.TravelBasis = heat.TravelMeasured
		w.end()
		w.tick += 10e9
		w.strike(w.pass.Number + 1)
	}
}

// The tip wears: after eight passes at 140 A the same wire takes 125 A. The wire for an
// ampere goes from 0.8 to 0.896 mm/s: 12 % more, of which the first average shows 30 %,
// more than its limit of 0.9 %. It is about all of pass 12, so that it has no place. A rise by 3.6 % at 125 A is a fall by 4.5 A: 0.9 mm at 5 A/mm.
func TestCharts_contactDrift(t *testing.T) {
	w := waveWeld()
	w.ledger.job.Setpoints.CurrentPerDistance = 5e3
	w.chartPasses(8, 140, 0.3)
	require.Empty(t, w.Found())
	w.chartPasses(1, 125, 0.3)
	f := w.only(t)
	require.Equal(t, ContactDrift, f.Rule)
	require.InDelta(t, 0.8e-3*1.036, f.Worst, 1e-12)
	require.InDelta(t, 0.8e-3*1.009, f.Limit, 1e-12)
	require.Equal(t, 12, f.Pass)
	require.Equal(t, quantity.Seconds(10.5), f.Duration)
	require.Equal(t, "average wire speed for an ampere, over passes, 49.73 mm/min/A, above the limit of 48.43 mm/min/A; "+
		"the current has fallen for the same wire: look at contact tip wear, the distance from tip to wall (longer) and slip; "+
		"by the declared 5.00 A/mm that is 0.9 mm more of distance from tip to wall", f.Sentence)
	charts := w.PassCharts()
	require.Len(t, charts, 2)
	require.InDelta(t, 0.8e-3*1.036, charts[0].Average, 1e-12)
	charts[0].Average = 0
	require.Equal(t, PassChart{Rule: ContactDrift, Name: "Wire speed for an ampere", Passes: 8, Mean: charts[0].Mean, Low: charts[0].Mean, High: charts[0].Mean}, charts[0])
	require.InDelta(t, 0.8e-3, charts[0].Mean, 1e-12)
	require.Equal(t, Instability, charts[1].Rule)
	require.InDelta(t, 0.3, charts[1].Average, 1e-12)
}

// And the other way: the distance has become less.
func TestCharts_contactDriftBelow(t *testing.T) {
	w := waveWeld()
	w.ledger.job.Setpoints.CurrentPerDistance = 5e3
	w.chartPasses(8, 140, 0.3)
	w.chartPasses(1, 160, 0.3)
	require.Contains(t, w.only(t).Sentence, "; by the declared 5.00 A/mm that is 1.2 mm less of distance from tip to wall")
}

// Nobody says what the current loses by a distance, or what it is: then nothing is said of it.
func TestCharts_distanceNotKnown(t *testing.T) {
	require.Empty(t, distance(testJob(), &pass.Pass{CurrentMean: new(quantity.Amperes(125))}, 1.1))
	job := testJob()
	job.Setpoints.CurrentPerDistance = 5e3
	require.Empty(t, distance(job, &pass.Pass{}, 1.1))
	require.Equal(t, "; by the declared 5.00 A/mm that is 0.0 mm more of distance from tip to wall", distance(job, &pass.Pass{CurrentMean: new(quantity.Amperes(125))}, 1))
}

// Limits come from good passes alone, and after that every pass is charted: 0.5 for 0.3 is
// (0.2*0.3) 0.06 above the mean, and the limit 0.027.
func TestCharts_instability(t *testing.T) {
	w := waveWeld()
	w.chartPasses(7, 140, 0.3)
	w.pass.Findings = 1
	w.chartPasses(1, 140, 0.9)
	require.Empty(t, w.PassCharts(), "seven good passes are no limits yet")
	w.chartPasses(1, 140, 0.3)
	require.Len(t, w.PassCharts(), 2)
	w.pass.Findings = 1
	w.chartPasses(1, 140, 0.5)
	f := w.only(t)
	require.Equal(t, Instability, f.Rule)
	require.InDelta(t, 0.36, f.Worst, 1e-12)
	require.InDelta(t, 0.327, f.Limit, 1e-12)
	w.pass.Waveform = &waveform.Statistics{}
	w.end()
	w.strike(20)
	w.end()
	require.InDelta(t, 0.36, w.PassCharts()[1].Average, 1e-12, "nothing is known of those")
}

// Passes that follow one another are not charted, and Unreferenced says so.
func TestCharts_refused(t *testing.T) {
	w := waveWeld()
	for k := range 16 {
		w.charts.rules[1].first.Add(float64(8 * (k / 8)))
	}
	w.charts.rules[1].begin()
	require.Equal(t, []string{"average instability of the short-circuit cycles, over passes, follows itself too closely from pass to pass for control limits: it is not charted"}, w.Unreferenced())
	require.True(t, w.PassCharts()[0].Refused)
}
