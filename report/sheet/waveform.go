package sheet

import (
	"fmt"
	"strconv"

	"arctally/acquire/quantity"
	"arctally/analyze/finding"
	"arctally/analyze/waveform"
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

// waveform returns the row of a pass, nil where nothing is known.
func (p *passEntry) waveform() *WaveformRow {
	w := p.Waveform
	if w == nil {
		return nil
	}
	row := &WaveformRow{
		SampleRate: known(1 / float64(w.Step)), Known: plain(&w.Known),
		ShortLevel: plain(&w.ShortLevel), ArcLevel: plain(&w.ArcLevel),
		Shorts: w.Shorts, ShortRate: plain(w.ShortRate), Transfers: w.Transfers, Transfer: plain(&w.Transfer),
		ShortShare: plain(&w.ShortShare), Stubs: w.Stubs, ArcOuts: p.BriefArcOuts,
		ShortTime: in(w.ShortTime, "ms"), ShortSpread: in(w.ShortSpread, "ms"),
		ArcTime: in(w.ArcTime, "ms"), ArcSpread: in(w.ArcSpread, "ms"), Instability: plain(w.Instability),
		PeakCurrent: plain(w.PeakCurrent), PeakSpread: plain(w.PeakSpread),
		RiseRate: thousandth(number(w.RiseRate)), Reignition: plain(w.Reignition),
		Voltage95: plain(&w.Voltage95), RMS: plain(&w.RMS),
	}
	if p.Wire != nil && p.ArcTime > 0 && p.CurrentMean != nil {
		speed := *p.Wire / quantity.Metres(p.ArcTime)
		row.WirePerAmp = known(quantity.In(quantity.MetresPerSecond(speed), "mm/min") / float64(*p.CurrentMean))
	}
	return row
}

var waveformHeads = []passHead{
	{"Pass", "", "samples", "kHz"},
	{"Shorts", "/s", "over 1 ms", "/s"},
	{"In short", "%", "stubs", ""},
	{"Short", "ms", "spread", "ms"},
	{"Arc", "ms", "spread", "ms"},
	{"Levels", "V", "short, arc", ""},
	{"Peak", "A", "spread", "A"},
	{"Rise", "A/ms", "re-ignition", "V"},
	{"Instability", "", "arc-outs", ""},
	{"95 % point", "V", "wire", "mm/min/A"},
}

// waveformView is the table of the waveform, ready to print.
type waveformView struct {
	Head []passHead
	Rows [][]cell
	Law  string
	// Charts say where the charts of the passes stand.
	Charts []string
}

// waveformTable returns the table, nil where no pass has a waveform.
func (s *Sheet) waveformTable() *waveformView {
	v := &waveformView{Head: waveformHeads, Law: meltingText(s.melting)}
	for i := range s.passes {
		if row := s.passes[i].waveform(); row != nil {
			v.Rows = append(v.Rows, row.cells(s.passes[i].Number))
		}
	}
	if len(v.Rows) == 0 {
		return nil
	}
	for _, c := range s.charts {
		v.Charts = append(v.Charts, chartText(c))
	}
	return v
}

func (w *WaveformRow) cells(pass int) []cell {
	return []cell{
		{strconv.Itoa(pass), digits(thousandth(w.SampleRate), 1)},
		{digits(w.ShortRate, 1), digits(w.Transfer, 1)},
		{digits(percent(w.ShortShare), 1), strconv.Itoa(w.Stubs)},
		{digits(w.ShortTime, 2), digits(w.ShortSpread, 2)},
		{digits(w.ArcTime, 2), digits(w.ArcSpread, 2)},
		{digits(w.ShortLevel, 1), digits(w.ArcLevel, 1)},
		{digits(w.PeakCurrent, 0), digits(w.PeakSpread, 1)},
		{digits(w.RiseRate, 1), digits(w.Reignition, 1)},
		{digits(w.Instability, 2), strconv.Itoa(w.ArcOuts)},
		{digits(w.Voltage95, 1), digits(w.WirePerAmp, 1)},
	}
}

func percent(v *float64) *float64 {
	if v == nil {
		return nil
	}
	return known(100 * *v)
}

// meltingText says what the wire and the current of the good passes determine.
func meltingText(m *waveform.Melting) string {
	switch {
	case m == nil:
		return "No melting law could be fitted: wire speed or good passes are missing."
	case !m.Apart:
		return fmt.Sprintf("Melting law fitted over the good arc of this job: %.1f mm/min of wire for an ampere. This is an effective slope: "+
			"at one working point and a constant wire extension the anode's share a and the Joule share b*L of w = a*I + b*L*I^2 cannot be told apart.", 60e3*m.Slope)
	default:
		return fmt.Sprintf("Melting law w = a*I + b*L*I^2 fitted over the good arc of this job: a = %.3g mm/s per A, b*L = %.3g mm/s per A^2 at the wire extension of this arc.",
			1e3*m.Anode, 1e3*m.Joule)
	}
}

// chartText says where one chart stands.
func chartText(c finding.PassChart) string {
	m := measureOf(c.Rule, Metric)
	if c.Refused {
		return c.Name + ": each pass resembles the one before it too closely for control limits."
	}
	return fmt.Sprintf("%s, %s: mean of the first %d good passes %s, limits of a single pass %s to %s, of the step between passes %s; moving average of the passes since %s.",
		c.Name, m.unit, c.Passes, m.text(c.Mean), m.text(c.Low), m.text(c.High), m.text(c.RangeLimit), m.text(c.Average))
}
