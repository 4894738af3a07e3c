package finding

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

var update = flag.Bool("update", false, "write the goldens anew")

// TestRules has every word that a rule says once, with the limits of testJob.
func TestRules(t *testing.T) {
	const golden = "testdata/rules.txt"
	var text strings.Builder
	for k := range table {
		describe(&text, &table[k])
	}
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(text.String()), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, string(want), text.String())
}

func describe(text *strings.Builder, r *row) {
	metricUnit, us := Units(r.rule)
	fmt.Fprintf(text, "%s\n  unit   %s, US %s\n  cause  %s\n", r.rule, metricUnit.Name, us.Name, r.cause)
	limit := 1 / metricUnit.In(1) // where a pass, or the job, sets it: one of its unit
	within := limits{Low: quantity.Ratio(limit), High: quantity.Ratio(limit)}
	if r.limit != nil {
		within = r.limit(testJob())
		fmt.Fprintf(text, "  limit  %s\n", limitText(within, metricUnit))
	}
	if r.going != "" {
		fmt.Fprintf(text, "  going  %s\n", r.going)
	}
	f := Finding{Rule: r.rule, Duration: 2.5, Place: &bore.Place{Angle: 131.25, Depth: 0.0045}}
	if f.Worst, f.Limit = 0.8*float64(within.Low), float64(within.Low); r.below != "" {
		fmt.Fprintf(text, "  below  %s\n", f.Composed())
	}
	if f.Worst, f.Limit = 1.2*float64(within.High), float64(within.High); r.above != "" {
		fmt.Fprintf(text, "  above  %s\n", f.Composed())
	}
}

func limitText(within limits, unit Unit) string {
	if within.HasLow {
		return words(unit, float64(within.Low)) + " to " + words(unit, float64(within.High))
	}
	return "at most " + words(unit, float64(within.High))
}

// A rule has one row, a unit, a cause, and something to say on each side of its limit
// that a value can be on.
func TestRules_rowsAreWhole(t *testing.T) {
	seen := map[Rule]bool{}
	for k := range table {
		r := &table[k]
		assert.False(t, seen[r.rule], r.rule)
		seen[r.rule] = true
		assert.NotEmpty(t, r.unit.Name, r.rule)
		assert.NotEmpty(t, r.cause, r.rule)
		if r.what == "" {
			continue // its judge writes the sentence
		}
		assert.NotEmpty(t, r.below+r.above, r.rule)
		if r.limit != nil && r.limit(testJob()).HasLow {
			assert.NotEmpty(t, r.below, r.rule)
			assert.NotEmpty(t, r.above, r.rule)
		}
		assert.False(t, r.lasts && r.says != nil, "%s says for how long by itself", r.rule)
	}
	require.Nil(t, rowOf("of another time"))
}

// Two rules have one cause where one finding is enough, and no others.
func TestRules_causes(t *testing.T) {
	of := map[string][]Rule{}
	for k := range table {
		of[table[k].cause] = append(of[table[k].cause], table[k].rule)
	}
	require.Equal(t, []Rule{GasFlow, GasSignature, ArcUnrest}, of[lossOfGas])
	require.Equal(t, []Rule{ArcOut, WireWithoutArc, VoltageOnly}, of[workCircuit])
}

func TestUnits(t *testing.T) {
	unit, us := Units(BriefArcOuts)
	require.Equal(t, 3.0, unit.In(0.05))
	require.Equal(t, "3.0 /min", words(us, 0.05))
	unit, us = Units(TravelSpeed)
	require.Equal(t, "360 mm/min", words(unit, 0.006))
	require.Equal(t, "14.17 in/min", words(us, 0.006))
	unit, us = Units("of another time")
	require.Equal(t, "0.125 SI", words(unit, 0.125))
	require.Equal(t, 7.0, us.In(7))
	require.Equal(t, 3, us.Decimals)
	unit, _ = Units(ArcOnRatio)
	require.Equal(t, "1", unit.Name)
	require.Equal(t, 0.84, unit.In(0.84))
	require.Equal(t, "0.840", words(unit, 0.84))
}

// A value on its limit is told as one above it: an arc that burns in a gap for the dwell
// exactly is a finding.
func TestSentence_onTheLimit(t *testing.T) {
	f := Finding{Rule: Voltage, Worst: 19, Limit: 19, Duration: 1}
	require.Equal(t, "voltage 19.0 V, above the limit of 19.0 V for 1.0 s; look at the set voltage, the gas and the wire feed", f.Composed())
}

func TestSentence_strokes(t *testing.T) {
	f := Finding{Rule: StrokeCount, Worst: 1}
	require.Equal(t, "one stroke more than the segment has in the plan; look for a high spot, or metal beyond the end of the bore", f.Composed())
	f.Worst = -2
	require.Equal(t, "the layer before had 2 strokes fewer than in the plan; look for a groove without metal", f.Composed())
}

func TestOutside(t *testing.T) {
	within := limits{Low: 10, High: 20, HasLow: true, HasHigh: true}
	for value, want := range map[float64]float64{8: 10, 23: 20} {
		limit, out := outside(value, within)
		require.True(t, out)
		require.Equal(t, want, limit)
	}
	for _, value := range []float64{10, 15, 20} {
		_, out := outside(value, within)
		require.False(t, out, value)
	}
	require.Equal(t, limits{High: 0.3, HasHigh: true}, atMost(quantity.Seconds(0.3)))
}

// words are a value and its unit.
func words(u Unit, si float64) string {
	text, _ := u.Against(si, si)
	return text
}
