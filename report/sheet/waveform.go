package sheet

import (
	"arctally/acquire/quantity"
)

// WaveformRow is what the shorts of a pass come to, in trade units; null is not
// known, and the whole of it is null where the source was too slow.
type WaveformRow struct {
	SampleRate  *float64 `json:"sample_rate_hz"`
	Known       *float64 `json:"known_s"` // arc time in which shorts could be told from arc
	ShortLevel  *float64 `json:"short_level_v"`
	ArcLevel    *float64 `json:"arc_level_v"`
	Shorts      *int     `json:"shorts"`
	ShortRate   *float64 `json:"short_rate_hz"`
	Transfers   int      `json:"shorts_over_1ms"`
	Transfer    *float64 `json:"shorts_over_1ms_rate_hz"`
	ShortShare  *float64 `json:"short_time_share"`
	Stubs       int      `json:"stubs"`
	ArcOuts     int      `json:"brief_arc_outs"`
	ShortTime   *float64 `json:"short_mean_ms"`
	ShortSpread *float64 `json:"short_deviation_ms"`
	ArcTime     *float64 `json:"arc_mean_ms"`
	ArcSpread   *float64 `json:"arc_deviation_ms"`
	Instability *float64 `json:"instability"`
	PeakCurrent *float64 `json:"peak_current_mean_a"`
	PeakSpread  *float64 `json:"peak_current_deviation_a"`
	RiseRate    *float64 `json:"current_rise_a_per_ms"`
	Reignition  *float64 `json:"reignition_v"`
	Voltage95   *float64 `json:"voltage_95_v"`
	RMS         *float64 `json:"current_rms_a"`
	WirePerAmp  *float64 `json:"wire_per_current_mm_min_per_a"`
}

// WaveformRow returns the row of a pass, nil where nothing is known.
func (p *Pass) WaveformRow() *WaveformRow {
	w := p.Waveform
	if w == nil {
		return nil
	}
	row := &WaveformRow{
		SampleRate: Known(1 / float64(w.Step)), Known: Plain(&w.Known),
		ShortLevel: Plain(&w.ShortLevel), ArcLevel: Plain(&w.ArcLevel),
		Shorts: w.Shorts, ShortRate: Plain(w.ShortRate), Transfers: w.Transfers, Transfer: Plain(&w.Transfer),
		ShortShare: Plain(&w.ShortShare), Stubs: w.Stubs, ArcOuts: p.BriefArcOuts,
		ShortTime: In(w.ShortTime, "ms"), ShortSpread: In(w.ShortSpread, "ms"),
		ArcTime: In(w.ArcTime, "ms"), ArcSpread: In(w.ArcSpread, "ms"), Instability: Plain(w.Instability),
		PeakCurrent: Plain(w.PeakCurrent), PeakSpread: Plain(w.PeakSpread),
		RiseRate: Thousandth(w.RiseRate), Reignition: Plain(w.Reignition),
		Voltage95: Plain(&w.Voltage95), RMS: Plain(&w.RMS),
	}
	if p.Wire != nil && p.ArcTime > 0 && p.CurrentMean != nil {
		speed := *p.Wire / quantity.Metres(p.ArcTime)
		row.WirePerAmp = Known(quantity.In(quantity.MetresPerSecond(speed), "mm/min") / float64(*p.CurrentMean))
	}
	return row
}
