package sheet_test

import (
	"encoding/json"
	"fmt"
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// contract is the list of keys that design.md promises, in its order.
var contract = []string{
	"number", "layer", "pattern", "start", "end", "elapsed_s", "arc_time_s", "arc_on_ratio", "planned_arc_on_ratio",
	"voltage_mean_v", "current_mean_a", "power_mean_w", "power_basis", "energy_j", "wire_m", "deposit_g", "turns", "travel_mm",
	"travel_speed_mm_min", "travel_basis", "arc_energy_kj_per_mm", "heat_input_kj_per_mm",
	"heat_input_expanded_uncertainty_kj_per_mm", "verdict", "gap_s", "findings",
	"epoch", "start_tick_ns", "end_tick_ns", // as those of a finding
	"start_angle_deg", "start_depth_mm", "end_angle_deg", // null where the torch is not known
	"angle_uncertainty_deg", "angle_basis", "angle_by",
}

func decoded(t *testing.T, s *sheet.Sheet) map[string]any {
	t.Helper()
	var object map[string]any
	require.NoError(t, json.Unmarshal([]byte(sheettest.Render(t, s.PassesJSON)), &object))
	return object
}

func passesOf(t *testing.T, s *sheet.Sheet) []map[string]any {
	t.Helper()
	var passes []map[string]any
	for _, p := range decoded(t, s)["passes"].([]any) {
		passes = append(passes, p.(map[string]any))
	}
	return passes
}

func TestPassesJSONKeepsTheContract(t *testing.T) {
	s := sheet.New(sheettest.Input())
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
	in := sheettest.Input()
	in.WallTime = nil
	in.Result.Passes = []pass.Pass{{Number: 1}}
	p := passesOf(t, sheet.New(in))[0]
	known := map[string]any{"number": 1.0, "elapsed_s": 0.0, "arc_time_s": 0.0, "gap_s": 0.0, "findings": 0.0, "epoch": 0.0, "start_tick_ns": 0.0, "end_tick_ns": 0.0}
	for _, key := range contract {
		assert.Equal(t, known[key], p[key], key)
	}
}

func TestNoNumberIsNoNumber(t *testing.T) {
	in := sheettest.Input()
	in.Result.Passes = []pass.Pass{sheettest.NoNumberPass()}
	row := passesOf(t, sheet.New(in))[0]
	for _, key := range []string{"arc_on_ratio", "voltage_mean_v", "arc_energy_kj_per_mm", "energy_j"} {
		assert.Nil(t, row[key], key)
	}
}

func TestJSONHasFullPrecision(t *testing.T) {
	in := sheettest.Input()
	power := 2362.0 + 1.0/3
	in.Result.Passes[0].PowerMean = new(quantity.Watts(power))
	assert.Equal(t, power, passesOf(t, sheet.New(in))[0]["power_mean_w"])
}

func TestSheetIsFrozen(t *testing.T) {
	in := sheettest.Input()
	s := sheet.New(in)
	before := sheettest.Render(t, s.JSON)
	*in.Result.Passes[0].VoltageMean = 99
	*in.Result.Passes[0].HeatInput = 1
	in.Result.Passes[0].Number = 77
	in.Result.Findings[0].Place.Angle = 1
	assert.Equal(t, before, sheettest.Render(t, s.JSON))
}

// The conversions are exact by definition (inch: international yard and pound
// agreement of 1959); check-values HI-07 and WD-26, constructed.
func TestFindingsInTradeUnits(t *testing.T) {
	for _, c := range []struct {
		rule  finding.Rule
		units sheet.Units
		si    float64
		want  float64
		unit  string
	}{
		{finding.Voltage, sheet.Metric, 15.75, 15.75, "V"},
		{finding.Current, sheet.Metric, 161, 161, "A"},
		{finding.WireSpeed, sheet.Metric, 6.35 / 60, 6.35, "m/min"},
		{finding.WireSpeed, sheet.US, 6.35 / 60, 250, "in/min"},
		{finding.TravelSpeed, sheet.Metric, 0.3 / 60, 300, "mm/min"},
		{finding.TravelSpeed, sheet.US, 0.254 / 60, 10, "in/min"},
		{finding.GasFlow, sheet.Metric, 0.015 / 60, 15, "L/min"},
		{finding.Interpass, sheet.Metric, 250, 250, "degC"},
		{finding.Interpass, sheet.US, 250, 482, "degF"},
		{finding.ArcOut, sheet.Metric, 0.8, 0.8, "s"},
		{finding.ArcInGap, sheet.US, 0.8, 0.8, "s"},
		{finding.ArcOnRatio, sheet.Metric, 0.84, 0.84, "1"},
		{finding.HeatInput, sheet.Metric, 1e6, 1, "kJ/mm"},
		{finding.HeatInput, sheet.US, 1e6, 25.4, "kJ/in"},
		{finding.Stubbing, sheet.Metric, 4, 4, "/s"},
		{finding.ShortRate, sheet.US, 80, 80, "/s"},
		{finding.BriefArcOuts, sheet.Metric, 0.05, 3, "/min"},
		{finding.ContactDrift, sheet.US, 0.655e-3, 39.3 / 25.4, "in/min/A"},
		{"other", sheet.Metric, 7, 7, "SI"},
	} {
		t.Run(fmt.Sprintf("%s %d", c.rule, c.units), func(t *testing.T) {
			m := sheet.MeasureOf(c.rule, c.units)
			assert.InDelta(t, c.want, m.From(c.si), 1e-9*c.want)
			assert.Equal(t, c.unit, m.Name)
		})
	}
	for _, u := range []sheet.Units{sheet.Metric, sheet.US} {
		set := u.Set()
		for rule, column := range map[finding.Rule]sheet.Unit{
			finding.WireSpeed: set.Feed, finding.TravelSpeed: set.Travel, finding.HeatInput: set.Heat,
			finding.GasFlow: set.GasFlow, finding.Interpass: set.Temperature,
		} {
			assert.Equal(t, column, sheet.MeasureOf(rule, u).Unit, "a finding is stated as the column of its quantity is")
		}
	}
	assert.InDelta(t, 32.4, *sheet.MeasureOf(finding.Interpass, sheet.US).Difference(18), 1e-9, "a difference has no zero to shift: 18*9/5")
}

func TestHeadlineNamesTheWorst(t *testing.T) {
	judged := func(verdicts ...heat.Verdict) sheet.Input {
		in := sheettest.Input()
		in.Result.Passes, in.Result.Findings = nil, nil
		for i, v := range verdicts {
			p := sheettest.Pass(i + 1)
			p.Verdict = v
			in.Result.Passes = append(in.Result.Passes, p)
		}
		return in
	}
	for _, c := range []struct {
		verdicts   []heat.Verdict
		want, sign string
	}{
		{nil, "No pass was found in this record.", sheet.SignUnjudged},
		{[]heat.Verdict{heat.Within, heat.Within}, "All passes inside the heat input window; no finding.", sheet.SignWithin},
		{[]heat.Verdict{heat.Within, heat.WithinNearLimit}, "All passes inside the heat input window, 1 of them closer to a limit than the guard band.", sheet.SignNear},
		{[]heat.Verdict{heat.Within, ""}, "1 pass of 2 could not be judged for heat input.", sheet.SignUnjudged},
		{[]heat.Verdict{"", ""}, "No pass could be judged for heat input.", sheet.SignUnjudged},
		{[]heat.Verdict{heat.OutsideNearLimit, heat.Within}, "1 pass of 2 outside the heat input window.", sheet.SignNearOut},
		{[]heat.Verdict{heat.OutsideNearLimit, heat.Outside}, "2 passes of 2 outside the heat input window.", sheet.SignOutside},
	} {
		s := sheet.New(judged(c.verdicts...))
		assert.Equal(t, c.want, s.Headline())
		assert.Equal(t, c.sign, s.Sign())
	}
	in := judged(heat.Within)
	in.Result.Findings = sheettest.Input().Result.Findings[:1]
	assert.Equal(t, "1 finding to inspect.", sheet.New(in).Headline())
}

func TestArcEnergyRulesWhereTheProcedureSaysSo(t *testing.T) {
	in := sheettest.Input()
	in.Job.Procedure.Judge.Definition = procedure.ArcEnergy
	s := sheet.New(in)
	value, expanded := s.Judged(&s.Passes[0])
	p := in.Result.Passes[0]
	assert.Equal(t, *p.ArcEnergy, *value)
	assert.InEpsilon(t, float64(*p.ExpandedUncertainty)/0.8, float64(*expanded), 1e-12, "k is 0.8 in the invented pass")
	assert.Equal(t, "arc energy", s.PassList().Definition)
}

func TestErrorsOfTheWriterComeBack(t *testing.T) {
	s := sheet.New(sheettest.Input())
	for _, write := range []func(io.Writer) error{s.PassesJSON, s.FindingsJSON, s.JSON} {
		sheettest.FailsWithTheWriter(t, "write JSON", write)
	}
}

func TestNewWithoutAJobPanics(t *testing.T) {
	assert.PanicsWithValue(t, "sheet: an input without a job", func() { sheet.New(sheet.Input{}) })
}
