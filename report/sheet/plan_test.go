package sheet_test

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/plan"
	"arctally/analyze/procedure"
	"arctally/report/sheet"
)

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
