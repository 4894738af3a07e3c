package sheet_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

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
