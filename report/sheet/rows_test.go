package sheet_test

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestCourse_inJSON(t *testing.T) {
	list := sheettest.Coursed().PassList()
	require.Equal(t, &sheet.CourseRow{State: "interrupted", PlannedTurns: new(20.0), Turned: new(12.5)}, list.Passes[0].Course)
	require.Equal(t, &sheet.CourseRow{State: "complete", PlannedTurns: new(7.5), Turned: new(7.5), Resumes: new(1), Off: new(-4.0)}, list.Passes[1].Course)
	require.Nil(t, list.Passes[0].AtStart)
	require.Equal(t, "typed in by Operator 1", *list.Passes[1].AtStart.TemperatureBasis)
	require.Equal(t, "measured", *list.Passes[1].AtStart.GasFlowBasis)
	require.Len(t, list.TypedIn, 3)
	require.Empty(t, list.TypedIn[0].Passes)
	require.Equal(t, []int{2}, list.TypedIn[1].Passes)
	require.Empty(t, list.TypedIn[2].Passes)
}

func TestSheet_rotationAndAngles(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, sheettest.BySweep().JSON(&b))
	var got struct {
		Passes []struct {
			Rotation *sheet.RotationRow `json:"rotation"`
		} `json:"passes"`
		ByAngle  []sheet.SweepRow   `json:"by_angle"`
		Findings []sheet.FindingRow `json:"findings"`
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &got))
	r := got.Passes[0].Rotation
	require.NotNil(t, r)
	assert.InDelta(t, 1.19, *r.Speed, 1e-12)
	assert.InDelta(t, 0.002, *r.ExpandedUncertainty, 1e-12)
	assert.InDelta(t, 1.25, *r.Declared, 1e-12)
	assert.Equal(t, "derived", r.Basis)
	assert.Equal(t, "current rhythm", r.From)
	s := got.ByAngle[0]
	assert.Len(t, s.Bins, 65, "no bin where there was no arc")
	assert.Len(t, s.ByTurn, 1)
	assert.Equal(t, 2.5, *s.Bins[0].Angle)
	assert.Nil(t, s.Bins[0].WireSpeed)
	assert.InDelta(t, 5, *s.OffCentre.Amplitude, 1e-12)
	assert.InDelta(t, 200, *s.OffCentre.Crest, 1e-12)
	assert.InDelta(t, 0.2, *s.OffCentre.DistanceUncertainty, 1e-12)
	assert.Nil(t, s.Oval.Crest, "what is not found points nowhere")
	assert.Equal(t, "%", got.Findings[0].Unit)
	assert.InDelta(t, 5, *got.Findings[0].Worst, 1e-12)
	assert.Equal(t, "turns", got.Findings[1].Unit)
	assert.Equal(t, []int{3}, got.Findings[1].Parts)
	assert.Equal(t, 2, got.Findings[2].PartOf)
}

// row reads the waveform of the only pass back from the JSON.
func row(t *testing.T, s *sheet.Sheet) map[string]any {
	t.Helper()
	var list struct {
		Passes []struct {
			Waveform map[string]any `json:"waveform"`
		} `json:"passes"`
	}
	require.NoError(t, json.Unmarshal([]byte(sheettest.Render(t, s.PassesJSON)), &list))
	require.Len(t, list.Passes, 1)
	return list.Passes[0].Waveform
}

func TestWaveform_inTradeUnits(t *testing.T) {
	in := sheettest.Input()
	p := sheettest.Pass(1)
	p.Waveform, p.BriefArcOuts = sheettest.Shorting(), 2
	in.Result.Passes = in.Result.Passes[:0:0]
	in.Result.Passes = append(in.Result.Passes, p)
	got := row(t, sheet.New(in))
	for key, want := range map[string]float64{
		"sample_rate_hz": 10_000, "shorts": 81_500, "short_rate_hz": 94.9, "shorts_over_1ms_rate_hz": 82.1, "short_time_share": 0.182,
		"stubs": 3, "brief_arc_outs": 2, "short_mean_ms": 1.9, "arc_deviation_ms": 3.6, "current_rise_a_per_ms": 48.7,
		"reignition_v": 26.2, "voltage_95_v": 21.9, "instability": 0.283,
		"wire_per_current_mm_min_per_a": 78.72 / 858.75 * 60_000 / 138.5,
	} {
		require.InDelta(t, want, got[key], 1e-9*want, key)
	}
	slow := sheettest.Shorting()
	slow.Shorts, slow.ShortRate, slow.PeakCurrent = nil, nil, nil
	in.Result.Passes[0].Waveform = slow
	got = row(t, sheet.New(in))
	require.Contains(t, got, "short_rate_hz")
	require.Nil(t, got["short_rate_hz"], "not known is null")
	require.NotNil(t, got["shorts_over_1ms_rate_hz"])
}
