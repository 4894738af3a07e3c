package sheet

import (
	"arctally/acquire/quantity"
	"arctally/analyze/waveform"
)

// WaveformRow is how the arc of a pass burned, in trade units; null is not known, or has no
// meaning in its mode of transfer, and the whole of it is null where the source was too slow.
type WaveformRow struct {
	Mode        *string  `json:"transfer_mode"` // dip, spray, globular, pulsed
	SampleRate  *float64 `json:"sample_rate_hz"`
	Known       *float64 `json:"known_s"` // arc time in which shorts, or pulses, could be told
	ShortLevel  *float64 `json:"short_level_v"`
	ArcLevel    *float64 `json:"arc_level_v"`
	Shorts      *int     `json:"shorts"`
	ShortRate   *float64 `json:"short_rate_hz"`
	Transfers   *int     `json:"shorts_over_1ms"`
	Transfer    *float64 `json:"shorts_over_1ms_rate_hz"`
	ShortShare  *float64 `json:"short_time_share"`
	Stubs       *int     `json:"stubs"`
	StubLimit   *float64 `json:"stub_limit_ms"` // a longer short is a stub
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
	PulseRate   *float64 `json:"pulse_rate_hz"`
	PulseShare  *float64 `json:"pulse_time_share"`
	Peak        *float64 `json:"peak_current_a"` // of the pulses
	Background  *float64 `json:"background_current_a"`
	PeakVoltage *float64 `json:"peak_voltage_v"`
	BaseVoltage *float64 `json:"background_voltage_v"`
	Unrest      *float64 `json:"voltage_unrest"`
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
		Mode: word(string(w.Mode)), SampleRate: Known(1 / float64(w.Step)), Known: Plain(&w.Known), ArcOuts: p.BriefArcOuts,
		PulseRate: Plain(w.PulseRate), PulseShare: Plain(w.PulseShare), Peak: Plain(w.Peak), Background: Plain(w.Background),
		PeakVoltage: Plain(w.PeakVoltage), BaseVoltage: Plain(w.BackgroundVoltage), Unrest: Plain(w.Unrest),
		Voltage95: Plain(&w.Voltage95), RMS: Plain(&w.RMS),
	}
	if w.ShortsTold {
		row.shorts(w)
	}
	if p.Wire != nil && p.ArcTime > 0 && p.CurrentMean != nil {
		speed := *p.Wire / quantity.Metres(p.ArcTime)
		row.WirePerAmp = Known(quantity.In(quantity.MetresPerSecond(speed), "mm/min") / float64(*p.CurrentMean))
	}
	return row
}

// shorts fills in what the shorts come to.
func (row *WaveformRow) shorts(w *waveform.Statistics) {
	row.ShortLevel, row.ArcLevel = Plain(&w.ShortLevel), Plain(&w.ArcLevel)
	row.Shorts, row.ShortRate = w.Shorts, Plain(w.ShortRate)
	row.Transfers, row.Transfer, row.ShortShare = &w.Transfers, Plain(&w.Transfer), Plain(&w.ShortShare)
	row.Stubs, row.StubLimit = &w.Stubs, In(&w.StubLimit, "ms")
	row.ShortTime, row.ShortSpread = In(w.ShortTime, "ms"), In(w.ShortSpread, "ms")
	row.ArcTime, row.ArcSpread = In(w.ArcTime, "ms"), In(w.ArcSpread, "ms")
	row.Instability = Plain(w.Instability)
	row.PeakCurrent, row.PeakSpread = Plain(w.PeakCurrent), Plain(w.PeakSpread)
	row.RiseRate, row.Reignition = Thousandth(w.RiseRate), Plain(w.Reignition)
}
