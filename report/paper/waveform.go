package paper

import (
	"fmt"
	"strconv"

	"arctally/analyze/finding"
	"arctally/analyze/waveform"
	"arctally/report/sheet"
)

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
func waveformTable(s *sheet.Sheet) *waveformView {
	v := &waveformView{Head: waveformHeads, Law: meltingText(s.Melting)}
	for i := range s.Passes {
		if row := s.Passes[i].WaveformRow(); row != nil {
			v.Rows = append(v.Rows, waveformCells(row, s.Passes[i].Number))
		}
	}
	if len(v.Rows) == 0 {
		return nil
	}
	for _, c := range s.Charts {
		v.Charts = append(v.Charts, chartText(c))
	}
	return v
}

func waveformCells(w *sheet.WaveformRow, pass int) []cell {
	return []cell{
		{strconv.Itoa(pass), sheet.Digits(sheet.Thousandth(w.SampleRate), 1)},
		{sheet.Digits(w.ShortRate, 1), sheet.Digits(w.Transfer, 1)},
		{sheet.Digits(sheet.Percent(w.ShortShare), 1), strconv.Itoa(w.Stubs)},
		{sheet.Digits(w.ShortTime, 2), sheet.Digits(w.ShortSpread, 2)},
		{sheet.Digits(w.ArcTime, 2), sheet.Digits(w.ArcSpread, 2)},
		{sheet.Digits(w.ShortLevel, 1), sheet.Digits(w.ArcLevel, 1)},
		{sheet.Digits(w.PeakCurrent, 0), sheet.Digits(w.PeakSpread, 1)},
		{sheet.Digits(w.RiseRate, 1), sheet.Digits(w.Reignition, 1)},
		{sheet.Digits(w.Instability, 2), strconv.Itoa(w.ArcOuts)},
		{sheet.Digits(w.Voltage95, 1), sheet.Digits(w.WirePerAmp, 1)},
	}
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
	m := sheet.MeasureOf(c.Rule, sheet.Metric)
	if c.Refused {
		return c.Name + ": each pass resembles the one before it too closely for control limits."
	}
	return fmt.Sprintf("%s, %s: mean of the first %d good passes %s, limits of a single pass %s to %s, of the step between passes %s; moving average of the passes since %s.",
		c.Name, m.Unit, c.Passes, m.Text(c.Mean), m.Text(c.Low), m.Text(c.High), m.Text(c.RangeLimit), m.Text(c.Average))
}
