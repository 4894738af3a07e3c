package sheet_test

import (
	"bytes"
	"encoding/json"
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/compare"
	"arctally/analyze/plan"
	"arctally/analyze/procedure"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestGolden(t *testing.T) {
	s := sheet.New(sheettest.Input())
	for name, write := range map[string]func(io.Writer) error{
		"passes.json":   s.PassesJSON,
		"findings.json": s.FindingsJSON,
		"sheet.json":    s.JSON,
	} {
		t.Run(name, func(t *testing.T) { sheettest.Golden(t, name, sheettest.Render(t, write)) })
	}
}

func TestChecksJSON(t *testing.T) {
	var list bytes.Buffer
	require.NoError(t, sheet.ChecksJSON(&list, sheet.CheckList{Record: "r"}))
	require.JSONEq(t, `{"record": "r", "job": "", "checks": []}`, list.String())
}

func TestComparisonJSON(t *testing.T) {
	var o sheet.ComparisonObject
	s := sheet.New(sheettest.Input())
	text := sheettest.Render(t, func(w io.Writer) error { return s.ComparisonJSON(w, sheettest.Comparison(compare.Turns)) })
	require.NoError(t, json.Unmarshal([]byte(text), &o))
	require.Len(t, o.Bins, 144)
	assert.Nil(t, o.With)
	assert.Equal(t, []int{1, 2, 3}, o.Good)
	assert.InDelta(t, 19.5, *o.Bins[101].This.Voltage, 1e-12)
	assert.InDelta(t, 145, *o.Bins[101].Angle, 1e-12)
	assert.Nil(t, o.Bins[101].This.Wire)
	require.Len(t, o.Parts, 1)
	assert.InDelta(t, 4.2, *o.Parts[0].FromDepth, 1e-9)
	assert.Equal(t, "V", o.Parts[0].Unit)
}

func TestMapJSON(t *testing.T) {
	var o sheet.MapObject
	require.NoError(t, json.Unmarshal([]byte(sheettest.Render(t, func(w io.Writer) error { return sheettest.Mapped(nil).MapJSON(w, 0) })), &o))
	require.Len(t, o.Cells, o.Columns*o.Rows)
	cell := o.Cells[2*o.Columns+10]
	assert.InDelta(t, 50, cell.Angle, 1e-12)
	assert.InDelta(t, 6, cell.Depth, 1e-12)
	assert.InDelta(t, 0.35, *cell.ArcEnergy, 1e-12)
	assert.InDelta(t, 0.28, *cell.HeatInput, 1e-12)
	assert.InDelta(t, 27, *cell.Volume, 1e-9)
	assert.InDelta(t, *cell.Height-1, *cell.Stock, 1e-9)
	assert.Equal(t, "too little", *o.CleanUp.Answer)
	require.Len(t, o.CleanUp.Short, 1)
	assert.InDelta(t, 250, o.CleanUp.Short[0].FromAngle, 1e-12)
	assert.InDelta(t, 265, o.CleanUp.Short[0].ToAngle, 1e-12)
	require.Len(t, o.CleanUp.Unseen, 1)
	assert.InDelta(t, 1, *o.Beyond.Volume, 1e-9)
}

func TestMapJSON_NoMap(t *testing.T) {
	require.ErrorIs(t, sheet.New(sheet.Input{Job: &procedure.Job{}}).MapJSON(io.Discard, 0), sheet.ErrNoMap)
}

// TestPlanSheet_Unknown shows a plan of which nothing is known: null in JSON,
// never zero.
func TestPlanSheet_Unknown(t *testing.T) {
	s := sheet.NewPlan(&procedure.Job{}, &plan.Plan{Layers: []plan.Layer{{Number: 1}}, Warnings: []plan.Warning{{Kind: "k", Layer: 1, Text: "text"}}})
	var out bytes.Buffer
	require.NoError(t, s.JSON(&out))
	var object map[string]any
	require.NoError(t, json.Unmarshal(out.Bytes(), &object))
	for _, field := range []string{"gas_l", "preheat_c", "machining_allowance_mm", "preheat_zone_mm"} {
		value, has := object[field]
		assert.True(t, has, field)
		assert.Nil(t, value, field)
	}
	assert.Equal(t, map[string]any{"iiw": nil, "cet": nil, "pcm": nil}, object["carbon"])
	layer := object["layers"].([]any)[0].(map[string]any)
	for _, field := range []string{"arc_energy_kj_per_mm", "heat_input_kj_per_mm", "t85_s", "t85_regime", "speed_low_rpm", "speed_high_rpm"} {
		assert.Nil(t, layer[field], field)
	}
}

func TestPlanSheet_NothingToLay(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, sheet.NewPlan(&procedure.Job{}, &plan.Plan{}).JSON(&out))
	assert.Contains(t, out.String(), `"layers": []`)
	assert.Contains(t, out.String(), `"warnings": []`)
}

func TestNewPlan_Panics(t *testing.T) {
	for _, make := range []func(){func() { sheet.NewPlan(nil, &plan.Plan{}) }, func() { sheet.NewPlan(&procedure.Job{}, nil) }} {
		assert.PanicsWithValue(t, "sheet: a plan without its job", make)
	}
}

func TestProofJSONGolden(t *testing.T) {
	s, proven := sheet.New(sheettest.Input()), sheet.New(sheettest.Proven())
	sheettest.Golden(t, "proof.json", sheettest.Render(t, func(w io.Writer) error { return s.ProofJSON(w, sheet.Linear) }))
	assert.False(t, s.Proved())
	assert.True(t, proven.Proved())
}

// The budget of a pass adds up: what the JSON says combines to what it says.
func TestUncertaintyRowAddsUp(t *testing.T) {
	row := sheet.New(sheettest.Input()).PassList().Passes[0].Uncertainty
	require.NotNil(t, row)
	sum, variance := 0.0, 0.0
	for _, c := range row.Components {
		sum += c.Contribution
		variance += c.Relative * c.Relative
	}
	assert.InDelta(t, 1, sum, 1e-12)
	assert.InEpsilon(t, *row.Relative**row.Relative, variance, 1e-12)
	assert.InEpsilon(t, 2**row.Standard, *row.Expanded, 1e-12)
	assert.InEpsilon(t, *sheet.New(sheettest.Input()).PassList().Passes[0].ExpandedUncertainty, *row.Expanded, 1e-5)
	assert.Greater(t, *row.Conformity, 0.9999)
	assert.Greater(t, row.Factor95, 1.96)
	assert.Less(t, row.Factor95, 2.0, "four degrees of freedom of the smallest part are many of the whole")
}

func TestPassNumbers(t *testing.T) {
	for want, numbers := range map[string][]int{
		"pass 3": {3}, "passes 1-3": {1, 2, 3}, "passes 1, 3-4, 9": {1, 3, 4, 9},
	} {
		assert.Equal(t, want, sheet.PassNumbers(numbers))
	}
}
