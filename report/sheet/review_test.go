package sheet_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/inspect"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// reviewed is a review as a page gets it.
func reviewed(t *testing.T, in sheet.Input) map[string]any {
	t.Helper()
	form, err := json.Marshal(sheet.New(in).Review())
	require.NoError(t, err)
	var object map[string]any
	require.NoError(t, json.Unmarshal(form, &object))
	return object
}

func TestReview(t *testing.T) {
	object := reviewed(t, sheettest.Decided())
	assert.Equal(t, "invented.arctally", object["record"])
	assert.Equal(t, "5f0c9e1d77aa0b42c6d3e8f1905b7a64", object["fingerprint"])
	verdict := object["verdict"].(map[string]any)
	assert.Equal(t, "2 passes of 5 outside the heat input window.", verdict["headline"])
	assert.Equal(t, "outside", verdict["state"])
	assert.InDelta(t, 6, verdict["open_findings"], 0)
	assert.Contains(t, verdict["sentences"], "1 pass not judged.")
	assert.Len(t, object["passes"], 5)
	assert.Len(t, object["map"].(map[string]any)["views"].([]any)[0].(map[string]any)["classes"], 72*20)
	assert.Len(t, object["window"], 8)
	assert.Len(t, object["warnings"], 2)
	alone, ok := sheet.New(sheettest.Decided()).PassAlone(sheet.New(sheettest.Decided()).FindingList().Findings[0].Pass)
	require.True(t, ok)
	text, err := json.Marshal(alone)
	require.NoError(t, err)
	var found struct{ Findings []map[string]any }
	require.NoError(t, json.Unmarshal(text, &found))
	first := found.Findings[0]
	assert.Equal(t, "accepted", first["state"])
	disposition := first["disposition"].(map[string]any)
	assert.Equal(t, "liquid penetrant", disposition["method"])
	assert.Equal(t, "2026-03-02T15:30:00.000000Z", disposition["at"])
	assert.Len(t, disposition["photographs"], 1)
	assert.Equal(t, "keep open", disposition["history"].([]any)[0].(map[string]any)["decision"])
	machining := object["machining"].([]any)[0].(map[string]any)
	assert.Equal(t, "all round", machining["cleaned_up"])
	assert.InDelta(t, 90.035, machining["wanted_high_mm"], 1e-9)
	assert.Len(t, machining["stations"], 6)
}

func TestReview_WithoutABore(t *testing.T) {
	object := reviewed(t, sheettest.Input())
	assert.Nil(t, object["map"], "the invented result has no map")
	assert.Empty(t, object["machining"])
	_, ok := sheet.New(sheettest.Input()).CellAlone(0, 0)
	assert.False(t, ok)
}

// Only what a person has closed is closed, and then nothing is said to be open.
func TestHeadlineFollowsTheBook(t *testing.T) {
	in := sheettest.Input()
	in.Result.Passes = in.Result.Passes[:1]
	in.Result.Findings = in.Result.Findings[:1]
	assert.Equal(t, "1 finding to inspect.", sheet.New(in).Headline())
	assert.Equal(t, sheet.SignNearOut, sheet.New(in).Sign())
	in.Entries = []inspect.Entry{{Number: 1, By: "Inspector 1", Disposition: &inspect.Disposition{
		Of: inspect.Refer(&in.Result.Findings[0]), Method: inspect.Visual, Result: inspect.Acceptable, Decision: inspect.Accept,
	}}}
	s := sheet.New(in)
	assert.Equal(t, "All passes inside the heat input window; no finding is open.", s.Headline())
	assert.Equal(t, sheet.SignWithin, s.Sign())
	assert.Contains(t, s.FindingsLine(), "Every finding has a disposition, and none is open.")
}
