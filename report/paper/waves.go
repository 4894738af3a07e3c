package paper

import (
	"fmt"

	"arctally/report/draw"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
)

// Waves are what was measured around events, by the number of the event.
type Waves map[int]*draw.Wave

// mostWaves is of how many events the waveform is shown: five sheets of them. Ours, no source.
const mostWaves = 40

// Waved are the open events of which the paper shows what was measured around them: the worst first.
func Waved(s *sheet.Sheet) []*sheet.Event {
	open := s.WorstOpen()
	return open[:min(mostWaves, len(open))]
}

// waves are the waveforms of open events, two to a row.
type waves []*draw.Figure

func (waves) kind() string { return "waves" }

func (w waves) print(d *layout.Document) {
	for first := 0; first < len(w); first += 2 {
		w.printRow(d, first)
	}
}

func (w waves) printFirst(d *layout.Document) { w.printRow(d, 0) }
func (w waves) printRest(d *layout.Document)  { w[min(2, len(w)):].print(d) }

func (w waves) printRow(d *layout.Document, first int) {
	d.Columns(func() { w.printOne(d, first) }, func() { w.printOne(d, first+1) })
	d.Space(1.5)
}

func (w waves) printOne(d *layout.Document, k int) {
	if k >= len(w) {
		return
	}
	d.Paragraph(w[k].Title, layout.Look{Size: 8.5, Bold: true})
	for _, line := range w[k].Lines {
		d.Small(line)
	}
	if w[k].Drawing != nil {
		d.Drawing(w[k].Drawing)
	}
}

// aroundEvents shows what was measured around the open events; nothing where nobody handed it in.
func (r *record) aroundEvents() []block {
	shown := Waved(r.Sheet)
	if r.Waves == nil || len(shown) == 0 {
		return nil
	}
	all := make(waves, len(shown))
	for k, e := range shown {
		all[k] = r.waveOf(e)
	}
	return []block{
		subheading("Measured around open events"),
		note(joined(shownText(len(shown), len(r.WorstOpen())), draw.WaveNote(r.Sheet))),
		all,
	}
}

// shownText says how many of the open events are shown.
func shownText(shown, open int) string {
	if shown == open {
		return sheet.Plural(open, "open event", "open events") + ", what nobody has decided on first, and of that the furthest beyond its limit."
	}
	return fmt.Sprintf("%d of %d open events: what nobody has decided on first, and of that the furthest beyond its limit. "+
		"The waveform of each of the others: arctally serve, Review.", shown, open)
}

func (r *record) waveOf(e *sheet.Event) *draw.Figure {
	f := draw.EventWave(r.Sheet, e, r.Waves[e.Number])
	f.Lines = []string{upperFirst(e.Where(r.units)) + ". " + upperFirst(e.WorstText(r.units)) + "."}
	if f.Drawing == nil {
		f.Lines = append(f.Lines, "Nothing was measured then, or it cannot be drawn.")
	}
	return f
}
