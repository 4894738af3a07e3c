package draw

import (
	"fmt"

	"arctally/analyze/finding"
	"arctally/report/sheet"
)

// Wave is what was measured in a time of one epoch.
type Wave struct {
	From, Until             int64 // ticks, ns
	Voltage, Current, Power Extremes
	Means                   []finding.JudgedMeans // that were held against the limits in that time
}

// Extremes are the lowest and the highest in equal parts of a time, in V, A or W; NaN
// where nothing was measured. A quantity without parts is not drawn.
type Extremes struct{ Low, High []float64 }

// The time around an event that is drawn.
const (
	leastAround = 1_000_000_000  // ns on either side
	mostDuring  = 20_000_000_000 // ns of the event itself: of a longer one its beginning is drawn
)

// WaveTime is the time that shows an event: how it began, and a while on either side.
func WaveTime(e *sheet.Event) (epoch int, from, until int64) {
	during := min(mostDuring, int64(e.Lead.Duration*1e9))
	around := max(leastAround, during/2)
	start := e.Lead.Start
	return start.Epoch, start.Tick - around, start.Tick + during + around
}

// strip is one quantity of a wave before it is drawn.
type strip struct {
	name   string
	unit   sheet.Unit
	height float64
	limits limits
	Extremes
	of    func(*finding.JudgedMeans) float64 // that of the quantity
	means []finding.JudgedMeans
}

// EventWave draws voltage, current and power around an event with the limits. Two stand side
// by side on a sheet. It has a title alone where nothing was measured then, or w is nil.
func EventWave(s *sheet.Sheet, e *sheet.Event, w *Wave) *Figure {
	figure := &Figure{Title: fmt.Sprintf("Event %d: %s", e.Number, e.Cause)}
	if w == nil {
		return figure
	}
	d, top := waveDrawing{Drawing: &Drawing{}, wave: w}, 0.0
	for _, one := range strips(s, w) {
		if !one.measured() {
			continue
		}
		f := frame{waveWidth, top + one.height, waveLeft, waveRight, top + waveTop, 0}
		d.strip(&one, f, spansOf(e, w))
		top = f.height
	}
	if d.Layers == nil {
		return figure
	}
	d.times(e, top)
	d.Box = Box{Width: tenth(waveWidth), Height: tenth(top + waveFoot)}
	d.Words = fmt.Sprintf("Voltage, current and power around event %d, with the limits of the procedure.", e.Number)
	figure.Drawing = d.Drawing
	return figure
}

// WaveNote says how the drawings of events are read.
func WaveNote(s *sheet.Sheet) string {
	return fmt.Sprintf("Grey: lowest to highest of what was measured. Line: the mean over %s that is held against the limits, dashed. Hatched: the event. A triangle: cut there, with the true value.",
		sheet.Say(s.Job.Procedure.Judge.AverageOver, sheet.Unit{Name: "s", Digits: 1}))
}

// The measures of the drawing.
const (
	waveWidth, waveLeft, waveRight = 500.0, 50.0, 8.0
	waveTop, waveFoot              = 24.0, 44.0
)

func strips(s *sheet.Sheet, w *Wave) []strip {
	l, volts, amps, watts := &s.Job.Procedure.Limits, sheet.Unit{Name: "V", Digits: 1}, sheet.Unit{Name: "A"}, sheet.Unit{Name: "W"}
	return []strip{
		{"Voltage", volts, 112, windowOf(l.Voltage, volts), w.Voltage, func(m *finding.JudgedMeans) float64 { return m.Voltage }, w.Means},
		{"Current", amps, 104, windowOf(l.Current, amps), w.Current, func(m *finding.JudgedMeans) float64 { return m.Current }, w.Means},
		{"Power", watts, 84, limits{}, w.Power, func(m *finding.JudgedMeans) float64 { return m.Power }, w.Means},
	}
}
