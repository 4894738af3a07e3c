package paper

import (
	"fmt"
	"strconv"
	"strings"

	"arctally/analyze/finding"
	"arctally/analyze/waveform"
	"arctally/report/draw"
	"arctally/report/sheet"
)

// byAngle shows the current by angle, nil where nothing is known of it.
func (r *record) byAngle() *section {
	figures := draw.Angles(r.Sheet)
	if len(figures) == 0 {
		return nil
	}
	return &section{Heading: "Current by angle", kept: 2, blocks: []block{
		note("Seen from the torch side, clockwise from the reference mark; the further out, the more current. The dashed circle is the mean over all turns, " +
			"the line across it a crest that stands out of the noise. Where the axis is not vertical, gravity swings the current once a turn as well."),
		sweeps(figures),
	}}
}

// transfer shows in which modes the passes burned, and the pulses of those that were pulsed; nil
// where nothing is known.
func (r *record) transfer() *section {
	all := r.Transfers()
	if all == nil {
		return nil
	}
	s := &section{Heading: "Transfer"}
	for k := range all {
		s.blocks = append(s.blocks, note(strings.ToUpper(all[k].Text()[:1])+all[k].Text()[1:]+"."))
	}
	if t := r.pulses(); t != nil {
		s.blocks = append(s.blocks, t)
	}
	s.blocks = append(s.blocks, note("In a short the current rises while the voltage falls; in a pulse both rise, and nothing is taken for a short."))
	return s
}

// pulses are what the pulsed passes come to, nil where there is none.
func (r *record) pulses() *table {
	t := &table{Class: "passes", size: 7.6, Columns: figures(
		column{Name: "Pass", SubName: "samples", SubUnit: "kHz"},
		column{Name: "Pulses", Unit: "/s", SubName: "in the pulse", SubUnit: "%"},
		column{Name: "Peak", Unit: "A", SubName: "background", SubUnit: "A"},
		column{Name: "Peak", Unit: "V", SubName: "background", SubUnit: "V"},
		column{Name: "Unrest", Unit: "%", SubName: "arc-outs"},
	)}
	digits := sheet.Digits
	for i := range r.Passes {
		w := r.Passes[i].WaveformRow()
		if w == nil || w.PulseRate == nil {
			continue
		}
		cells := []cell{
			two(strconv.Itoa(r.Passes[i].Number), digits(sheet.Thousandth(w.SampleRate), 1)),
			two(digits(w.PulseRate, 1), digits(percent(w.PulseShare), 1)),
			two(digits(w.Peak, 0), digits(w.Background, 0)),
			two(digits(w.PeakVoltage, 1), digits(w.BaseVoltage, 1)),
			two(digits(percent(w.Unrest), 1), strconv.Itoa(w.ArcOuts)),
		}
		cells[0][0].Bold = true
		t.Rows = append(t.Rows, row{Cells: cells})
	}
	if t.Rows == nil {
		return nil
	}
	return t
}

// shortCircuits shows what the shorts come to, nil where no pass has any told.
func (r *record) shortCircuits() *section {
	t := &table{Class: "passes", size: 7.6, Columns: figures(
		column{Name: "Pass", SubName: "samples", SubUnit: "kHz"},
		column{Name: "Shorts", Unit: "/s", SubName: "over 1 ms", SubUnit: "/s"},
		column{Name: "In short", Unit: "%", SubName: "stubs (over ms)"},
		column{Name: "Short", Unit: "ms", SubName: "spread", SubUnit: "ms"},
		column{Name: "Arc", Unit: "ms", SubName: "spread", SubUnit: "ms"},
		column{Name: "Levels", Unit: "V", SubName: "short, arc"},
		column{Name: "Peak", Unit: "A", SubName: "spread", SubUnit: "A"},
		column{Name: "Rise", Unit: "A/ms", SubName: "re-ignition", SubUnit: "V"},
		column{Name: "Instability", SubName: "arc-outs"},
		column{Name: "95 % point", Unit: "V", SubName: "wire", SubUnit: "mm/min/A"},
	)}
	for i := range r.Passes {
		if w := r.Passes[i].WaveformRow(); w != nil && w.Transfers != nil {
			t.Rows = append(t.Rows, waveformRow(r.Passes[i].Number, w))
		}
	}
	if len(t.Rows) == 0 {
		return nil
	}
	s := &section{Heading: "Short circuits", blocks: []block{t, note("The two levels of the voltage are found from the signal itself. " +
		"Stubs are shorts far longer than those of this arc: over what stands beside them; instability is the spread of the cycles over their mean; 95 % of the samples are below the 95 % point. " +
		"A touch of less than 0.2 ms is no short; below 10 kHz only shorts over 1 ms are told. " + r.units.Words(meltingText(r.Melting)))}}
	for _, c := range r.Charts {
		s.blocks = append(s.blocks, note(chartText(c, r.units)))
	}
	return s
}

func waveformRow(pass int, w *sheet.WaveformRow) row {
	digits := sheet.Digits
	cells := []cell{
		two(strconv.Itoa(pass), digits(sheet.Thousandth(w.SampleRate), 1)),
		two(digits(w.ShortRate, 1), digits(w.Transfer, 1)),
		two(digits(percent(w.ShortShare), 1), strconv.Itoa(*w.Stubs)+" ("+digits(w.StubLimit, 0)+")"),
		two(digits(w.ShortTime, 2), digits(w.ShortSpread, 2)),
		two(digits(w.ArcTime, 2), digits(w.ArcSpread, 2)),
		two(digits(w.ShortLevel, 1), digits(w.ArcLevel, 1)),
		two(digits(w.PeakCurrent, 0), digits(w.PeakSpread, 1)),
		two(digits(w.RiseRate, 1), digits(w.Reignition, 1)),
		two(digits(w.Instability, 2), strconv.Itoa(w.ArcOuts)),
		two(digits(w.Voltage95, 1), digits(w.WirePerAmp, 1)),
	}
	cells[0][0].Bold = true
	return row{Cells: cells}
}

func percent(v *float64) *float64 {
	if v == nil {
		return nil
	}
	return sheet.Known(100 * *v)
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
func chartText(c finding.PassChart, u sheet.Units) string {
	m := sheet.MeasureOf(c.Rule, u)
	if c.Refused {
		return c.Name + ": each pass resembles the one before it too closely for control limits."
	}
	return fmt.Sprintf("%s, %s: mean of the first %d good passes %s, limits of a single pass %s to %s, of the step between passes %s; moving average of the passes since %s.",
		c.Name, m.Name, c.Passes, m.Text(c.Mean), m.Text(c.Low), m.Text(c.High), m.Text(c.RangeLimit), m.Text(c.Average))
}
