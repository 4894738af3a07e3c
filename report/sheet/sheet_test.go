package sheet

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// contract is the list of keys that design.md promises, in its order.
var contract = []string{
	"number", "layer", "pattern", "start", "end", "elapsed_s", "arc_time_s", "arc_on_ratio", "planned_arc_on_ratio",
	"voltage_mean_v", "current_mean_a", "power_mean_w", "power_basis", "energy_j", "wire_m", "deposit_g", "turns", "travel_mm",
	"travel_speed_mm_min", "travel_basis", "arc_energy_kj_per_mm", "heat_input_kj_per_mm",
	"heat_input_expanded_uncertainty_kj_per_mm", "verdict", "gap_s", "findings",
	"epoch", "start_tick_ns", "end_tick_ns", // as those of a finding
	"start_angle_deg", "start_depth_mm", "end_angle_deg", // null where the torch is not known
}

func decoded(t *testing.T, s *Sheet) map[string]any {
	t.Helper()
	var object map[string]any
	require.NoError(t, json.Unmarshal([]byte(render(t, s.PassesJSON)), &object))
	return object
}

func passesOf(t *testing.T, s *Sheet) []map[string]any {
	t.Helper()
	var passes []map[string]any
	for _, p := range decoded(t, s)["passes"].([]any) {
		passes = append(passes, p.(map[string]any))
	}
	return passes
}

func TestPassesJSONKeepsTheContract(t *testing.T) {
	s := New(inventedInput())
	object := decoded(t, s)
	for _, key := range []string{"record", "job", "procedure", "definition", "passes", "warnings"} {
		assert.Contains(t, object, key)
	}
	for _, p := range passesOf(t, s) {
		for _, key := range contract {
			assert.Contains(t, p, key)
			delete(p, key)
		}
		for key, value := range p { // what was added since has a place of its own
			if value != nil {
				assert.IsType(t, map[string]any{}, value, key)
			}
		}
	}
}

func TestUnknownIsNull(t *testing.T) {
	in := inventedInput()
	in.WallTime = nil
	in.Result.Passes = []pass.Pass{{Number: 1}}
	p := passesOf(t, New(in))[0]
	known := map[string]any{"number": 1.0, "elapsed_s": 0.0, "arc_time_s": 0.0, "gap_s": 0.0, "findings": 0.0, "epoch": 0.0, "start_tick_ns": 0.0, "end_tick_ns": 0.0}
	for _, key := range contract {
		assert.Equal(t, known[key], p[key], key)
	}
}

func TestNoNumberIsNoNumber(t *testing.T) {
	in := inventedInput()
	p := inventedPass(1)
	p.ArcOnRatio = quantity.Ratio(math.NaN())
	p.VoltageMean = new(quantity.Volts(math.NaN()))
	p.ArcEnergy = new(quantity.JoulesPerMetre(math.Inf(1)))
	p.Energy = quantity.Joules(math.Inf(-1))
	in.Result.Passes = []pass.Pass{p}
	row := passesOf(t, New(in))[0]
	for _, key := range []string{"arc_on_ratio", "voltage_mean_v", "arc_energy_kj_per_mm", "energy_j"} {
		assert.Nil(t, row[key], key)
	}
	assert.NotContains(t, render(t, New(in).HTML), "NaN")
	assert.NotContains(t, render(t, func(w io.Writer) error { return New(in).PassTable(w, Metric) }), "NaN")
}

func TestJSONHasFullPrecision(t *testing.T) {
	in := inventedInput()
	power := 2362.0 + 1.0/3
	in.Result.Passes[0].PowerMean = new(quantity.Watts(power))
	assert.Equal(t, power, passesOf(t, New(in))[0]["power_mean_w"])
}

func TestSheetIsFrozen(t *testing.T) {
	in := inventedInput()
	s := New(in)
	before := render(t, s.JSON)
	*in.Result.Passes[0].VoltageMean = 99
	*in.Result.Passes[0].HeatInput = 1
	in.Result.Passes[0].Number = 77
	in.Result.Findings[0].Place.Angle = 1
	assert.Equal(t, before, render(t, s.JSON))
}

// The conversions are exact by definition (inch: international yard and pound
// agreement of 1959); check-values HI-07 and WD-26, constructed.
func TestFindingsInTradeUnits(t *testing.T) {
	for _, c := range []struct {
		rule  finding.Rule
		units Units
		si    float64
		want  float64
		unit  string
	}{
		{finding.Voltage, Metric, 15.75, 15.75, "V"},
		{finding.Current, Metric, 161, 161, "A"},
		{finding.WireSpeed, Metric, 6.35 / 60, 6.35, "m/min"},
		{finding.WireSpeed, US, 6.35 / 60, 250, "in/min"},
		{finding.TravelSpeed, Metric, 0.3 / 60, 300, "mm/min"},
		{finding.TravelSpeed, US, 0.254 / 60, 10, "in/min"},
		{finding.GasFlow, Metric, 0.015 / 60, 15, "L/min"},
		{finding.Interpass, Metric, 250, 250, "degC"},
		{finding.Interpass, US, 250, 482, "degF"},
		{finding.ArcOut, Metric, 0.8, 0.8, "s"},
		{finding.ArcInGap, US, 0.8, 0.8, "s"},
		{finding.ArcOnRatio, Metric, 0.84, 0.84, "1"},
		{finding.HeatInput, Metric, 1e6, 1, "kJ/mm"},
		{finding.HeatInput, US, 1e6, 25.4, "kJ/in"},
		{finding.Stubbing, Metric, 4, 4, "/s"},
		{finding.ShortRate, US, 80, 80, "/s"},
		{finding.BriefArcOuts, Metric, 0.05, 3, "/min"},
		{finding.ContactDrift, US, 0.655e-3, 39.3, "mm/min/A"},
		{"other", Metric, 7, 7, "SI"},
	} {
		t.Run(fmt.Sprintf("%s %d", c.rule, c.units), func(t *testing.T) {
			m := measureOf(c.rule, c.units)
			assert.InDelta(t, c.want, m.from(c.si), 1e-9*c.want)
			assert.Equal(t, c.unit, m.unit)
		})
	}
	for _, u := range []Units{Metric, US} {
		set := u.set()
		for rule, column := range map[finding.Rule]struct {
			unit   string
			digits int
		}{
			finding.WireSpeed: {set.feed, set.feedDigits}, finding.TravelSpeed: {set.travel, set.travelDigits}, finding.HeatInput: {set.heat, set.heatDigits},
			finding.GasFlow: {set.gas, 1}, finding.Interpass: {set.temperature, 0},
		} {
			m := measureOf(rule, u)
			assert.Equal(t, column.unit, m.unit, "a finding is stated as the column of its quantity is")
			assert.Equal(t, column.digits, m.decimals, rule)
		}
	}
	assert.InDelta(t, 32.4, *measureOf(finding.Interpass, US).span(18), 1e-9, "a difference has no zero to shift: 18*9/5")
}

func TestTablesFitTheTerminal(t *testing.T) {
	in := inventedInput()
	for _, dated := range []bool{true, false} {
		if !dated {
			in.WallTime = nil
		}
		for _, u := range []Units{Metric, US} {
			s := New(in)
			for _, table := range []func(io.Writer, Units) error{s.PassTable, s.FindingTable} {
				for line := range strings.Lines(render(t, func(w io.Writer) error { return table(w, u) })) {
					assert.LessOrEqual(t, utf8.RuneCountInString(line)-1, 140, line)
				}
			}
		}
	}
}

func TestManyWarningsLeaveTheTableInSight(t *testing.T) {
	in := inventedInput()
	in.Result.Warnings = make([]analyze.Warning, 300)
	text := render(t, func(w io.Writer) error { return New(in).PassTable(w, Metric) })
	assert.Equal(t, warningsShown+1, strings.Count(text, "warning: "))
	assert.Contains(t, text, "280 more")
	assert.Len(t, New(in).PassList().Warnings, 300)
}

func TestHeadlineNamesTheWorst(t *testing.T) {
	judged := func(verdicts ...heat.Verdict) Input {
		in := inventedInput()
		in.Result.Passes, in.Result.Findings = nil, nil
		for i, v := range verdicts {
			p := inventedPass(i + 1)
			p.Verdict = v
			in.Result.Passes = append(in.Result.Passes, p)
		}
		return in
	}
	for _, c := range []struct {
		verdicts   []heat.Verdict
		want, sign string
	}{
		{nil, "No pass was found in this record.", signUnjudged},
		{[]heat.Verdict{heat.Within, heat.Within}, "All passes inside the heat input window; no finding.", signWithin},
		{[]heat.Verdict{heat.Within, heat.WithinNearLimit}, "All passes inside the heat input window, 1 of them closer to a limit than the guard band.", signNear},
		{[]heat.Verdict{heat.Within, ""}, "1 pass of 2 could not be judged for heat input.", signUnjudged},
		{[]heat.Verdict{"", ""}, "No pass could be judged for heat input.", signUnjudged},
		{[]heat.Verdict{heat.OutsideNearLimit, heat.Within}, "1 pass of 2 outside the heat input window.", signNearOut},
		{[]heat.Verdict{heat.OutsideNearLimit, heat.Outside}, "2 passes of 2 outside the heat input window.", signOutside},
	} {
		s := New(judged(c.verdicts...))
		assert.Equal(t, c.want, s.headline())
		assert.Equal(t, c.sign, s.sign())
	}
	in := judged(heat.Within)
	in.Result.Findings = inventedInput().Result.Findings[:1]
	assert.Equal(t, "1 finding to inspect.", New(in).headline())
}

func TestArcEnergyRulesWhereTheProcedureSaysSo(t *testing.T) {
	in := inventedInput()
	in.Job.Procedure.Judge.Definition = procedure.ArcEnergy
	s := New(in)
	value, expanded := s.judged(&s.passes[0])
	p := in.Result.Passes[0]
	assert.Equal(t, *p.ArcEnergy, *value)
	assert.InEpsilon(t, float64(*p.ExpandedUncertainty)/0.8, float64(*expanded), 1e-12, "k is 0.8 in the invented pass")
	assert.Equal(t, "arc energy", s.PassList().Definition)
}

// failing is a writer that takes so many bytes and then no more.
type failing struct{ left int }

var errFull = errors.New("no room left")

func (f *failing) Write(p []byte) (int, error) {
	if len(p) > f.left {
		n := f.left
		f.left = 0
		return n, errFull
	}
	f.left -= len(p)
	return len(p), nil
}

func TestErrorsOfTheWriterComeBack(t *testing.T) {
	s := New(inventedInput())
	for name, write := range map[string]func(io.Writer) error{
		"passes": s.PassesJSON, "findings": s.FindingsJSON, "json": s.JSON, "html": s.HTML,
		"pass table":    func(w io.Writer) error { return s.PassTable(w, Metric) },
		"finding table": func(w io.Writer) error { return s.FindingTable(w, Metric) },
	} {
		var whole bytes.Buffer
		require.NoError(t, write(&whole))
		for _, room := range []int{0, whole.Len() / 2, whole.Len() - 1} {
			assert.ErrorIs(t, write(&failing{room}), errFull, "%s with room for %d", name, room)
		}
	}
}

func TestNewWithoutAJobPanics(t *testing.T) {
	assert.PanicsWithValue(t, "sheet: an input without a job", func() { New(Input{}) })
}
