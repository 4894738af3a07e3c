package export

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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
