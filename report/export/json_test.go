package export

import (
	"bytes"
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/report/sheet/sheettest"
)

func TestJSON(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, JSON(&b, Job{
		Sheet: inventedSheet(inventedClock), Sources: []series.Source{inventedSource()}, WallTime: inventedClock,
		Events: []series.Event{{Kind: series.Gap, Epoch: 1, Tick: 1_000, Until: 2_000, Count: 3, Text: "3 frames are missing"}},
	}))
	var object map[string]any
	require.NoError(t, json.Unmarshal(b.Bytes(), &object))
	assert.Equal(t, "Invented job, bore 1", object["job"])
	assert.Len(t, object["passes"], 2)
	assert.Len(t, object["findings"], 1)
	assert.Equal(t, map[string]any{
		"kind": "gap", "epoch": 1.0, "tick_ns": 1000.0, "until_tick_ns": 2000.0, "start": "2026-03-02T09:15:00.000001Z",
		"end": "2026-03-02T09:15:00.000002Z", "count": 3.0, "text": "3 frames are missing",
	}, object["events"].([]any)[0])
	source := object["sources"].([]any)[0].(map[string]any)
	assert.Equal(t, 3600.0, source["counts_per_turn"])
	assert.Nil(t, source["wire_per_count_m"])
	assert.Equal(t, map[string]any{"name": "current", "unit": "A", "scale": 0.03125, "offset": 0.0, "bits": 16.0, "basis": "instantaneous"},
		source["channels"].([]any)[1])
	assert.Nil(t, source["channels"].([]any)[2].(map[string]any)["bits"])
}

// Which record it is, who told the arc and what is proved are known, or null.
func TestJSON_state(t *testing.T) {
	object := func(j Job) (o map[string]any) {
		var b bytes.Buffer
		require.NoError(t, JSON(&b, j))
		require.NoError(t, json.Unmarshal(b.Bytes(), &o))
		return o
	}
	s := inventedSheet(inventedClock)
	s.Fingerprint = "0a1b"
	s.Job.People.Operator = "Operator 1"
	s.Job.Procedure.Limits.HeatInput = quantity.Range[quantity.JoulesPerMetre]{Low: 250e3, High: 550e3, HasLow: true, HasHigh: true}
	created := time.Date(2026, 3, 2, 8, 14, 0, 0, time.UTC)
	known := object(Job{Sheet: s, Sources: []series.Source{{Assumed: true}, inventedSource(), {Box: 1, Serial: "B-0008"}}, Chain: Chain{"c0ff", 12, created}})
	assert.Equal(t, map[string]any{"head": "0a1b", "begins": "c0ff", "groups": 12.0, "created": "2026-03-02T08:14:00.000000Z"}, known["state"])
	assert.Equal(t, "B-0007", known["arc_box"], "the one beside it does not count")
	assert.Equal(t, map[string]any{"operator": "Operator 1", "inspector": nil}, known["people"])
	assert.Len(t, known["proof"], 2)
	assert.Equal(t, map[string]any{"low_kj_per_mm": 0.25, "high_kj_per_mm": 0.55}, known["window"])
	s.Fingerprint, s.Job.Procedure.Limits.HeatInput.HasHigh = "", false
	unknown := object(Job{Sheet: s})
	assert.Equal(t, map[string]any{"low_kj_per_mm": 0.25, "high_kj_per_mm": nil}, unknown["window"])
	assert.Equal(t, map[string]any{"head": nil, "begins": nil, "groups": nil, "created": nil}, unknown["state"])
	assert.Nil(t, unknown["arc_box"])
	for _, sources := range [][]series.Source{
		{inventedSource(), {Serial: "B-0009"}},
		{inventedSource(), {Serial: "B-0007", Contested: true}},
		{inventedSource(), {}},
		{{Serial: "B-0007", Contested: true}},
	} {
		assert.Nil(t, object(Job{Sheet: s, Sources: sources})["arc_box"], "not one box alone")
	}
}

func TestJSONWithoutADate(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, JSON(&b, Job{Sheet: inventedSheet(nil), Events: []series.Event{{Kind: series.Remark}}}))
	assert.Contains(t, b.String(), `"start": null`)
	assert.Contains(t, b.String(), `"sources": []`)
}

func TestJSONErrors(t *testing.T) {
	require.ErrorIs(t, JSON(&sheettest.Full{Left: 10}, Job{Sheet: inventedSheet(nil)}), sheettest.ErrFull)
	assert.PanicsWithValue(t, "export: a job without its sheet", func() { _ = JSON(&sheettest.Full{}, Job{}) })
}
