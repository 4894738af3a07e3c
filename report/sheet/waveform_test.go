package sheet

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/finding"
	"arctally/analyze/waveform"
)

// shorting is an invented waveform at 10 kHz.
func shorting() *waveform.Statistics {
	return &waveform.Statistics{
		Step: 1e-4, Known: 858.5, ShortLevel: 7.1, ArcLevel: 19.9,
		Shorts: new(81_500), ShortRate: new(quantity.Hertz(94.9)), Transfers: 70_500, Transfer: 82.1, ShortShare: 0.182, Stubs: 3,
		ShortTime: new(quantity.Seconds(1.9e-3)), ShortSpread: new(quantity.Seconds(0.7e-3)),
		ArcTime: new(quantity.Seconds(8.6e-3)), ArcSpread: new(quantity.Seconds(3.6e-3)), Instability: new(quantity.Ratio(0.283)),
		PeakCurrent: new(quantity.Amperes(223)), PeakSpread: new(quantity.Amperes(2.9)), RiseRate: new(48_700.0),
		Reignition: new(quantity.Volts(26.2)), Voltage95: 21.9, Current: 139.8, RMS: 143.7,
	}
}

// row reads the waveform of the only pass back from the JSON.
func row(t *testing.T, s *Sheet) map[string]any {
	t.Helper()
	var list struct {
		Passes []struct {
			Waveform map[string]any `json:"waveform"`
		} `json:"passes"`
	}
	require.NoError(t, json.Unmarshal([]byte(render(t, s.PassesJSON)), &list))
	require.Len(t, list.Passes, 1)
	return list.Passes[0].Waveform
}

func TestWaveform_inTradeUnits(t *testing.T) {
	in := inventedInput()
	p := inventedPass(1)
	p.Waveform, p.BriefArcOuts = shorting(), 2
	in.Result.Passes = in.Result.Passes[:0:0]
	in.Result.Passes = append(in.Result.Passes, p)
	got := row(t, New(in))
	for key, want := range map[string]float64{
		"sample_rate_hz": 10_000, "shorts": 81_500, "short_rate_hz": 94.9, "shorts_over_1ms_rate_hz": 82.1, "short_time_share": 0.182,
		"stubs": 3, "brief_arc_outs": 2, "short_mean_ms": 1.9, "arc_deviation_ms": 3.6, "current_rise_a_per_ms": 48.7,
		"reignition_v": 26.2, "voltage_95_v": 21.9, "instability": 0.283,
		"wire_per_current_mm_min_per_a": 78.72 / 858.75 * 60_000 / 138.5,
	} {
		require.InDelta(t, want, got[key], 1e-9*want, key)
	}
	slow := shorting()
	slow.Shorts, slow.ShortRate, slow.PeakCurrent = nil, nil, nil
	in.Result.Passes[0].Waveform = slow
	got = row(t, New(in))
	require.Contains(t, got, "short_rate_hz")
	require.Nil(t, got["short_rate_hz"], "not known is null")
	require.NotNil(t, got["shorts_over_1ms_rate_hz"])
}

func TestWaveform_onPaper(t *testing.T) {
	in := inventedInput()
	require.NotContains(t, render(t, New(in).HTML), "Short circuits", "nothing is known of them")
	for k := range in.Result.Passes {
		in.Result.Passes[k].Waveform = shorting()
	}
	page := render(t, New(in).HTML)
	require.Contains(t, page, "<h2>Short circuits</h2>")
	require.Contains(t, page, "No melting law could be fitted")
	in.Result.Melting = &waveform.Melting{Slope: 39.3 / 60e3}
	in.Result.Charts = []finding.PassChart{
		{Rule: finding.ContactDrift, Name: "Wire speed for an ampere", Passes: 8, Mean: 39.3 / 60e3, Low: 38.9 / 60e3, High: 39.7 / 60e3, RangeLimit: 0.5 / 60e3, Average: 39.4 / 60e3},
		{Rule: finding.Instability, Name: "Instability", Passes: 8, Refused: true},
	}
	page = render(t, New(in).HTML)
	require.Contains(t, page, "39.3 mm/min of wire for an ampere. This is an effective slope")
	require.Contains(t, page, "Wire speed for an ampere, mm/min/A: mean of the first 8 good passes 39.30, limits of a single pass 38.90 to 39.70")
	require.Contains(t, page, "Instability: each pass resembles the one before it too closely")
	in.Result.Melting = &waveform.Melting{Slope: 39.3 / 60e3, Apart: true, Anode: 0.45e-3, Joule: 1.4e-6}
	require.Contains(t, render(t, New(in).HTML), "a = 0.45 mm/s per A, b*L = 0.0014 mm/s per A^2")
}
