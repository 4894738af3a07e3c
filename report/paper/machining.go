package paper

import (
	"fmt"

	"arctally/analyze/inspect"
	"arctally/report/sheet"
)

// machinedHeading is what is said of the bore once it was cut.
const machinedHeading = "After machining"

// machining shows the final measurements; one that was corrected is named.
func (r *record) machining() *section {
	s := &section{Heading: machinedHeading}
	if len(r.Book.Machinings) == 0 {
		s.blocks = []block{sentence("No final measurement is on record.")}
		return s
	}
	for k := range r.Book.Machinings {
		s.blocks = append(s.blocks, r.measured(&r.Book.Machinings[k]))
	}
	s.kept = 1
	return s
}

// measured is one final measurement.
func (r *record) measured(kept *inspect.Kept) group {
	title := subheading(fmt.Sprintf("Entry %d, by %s, %s", kept.Number, kept.Who(), sheet.Minute(kept.At)))
	if kept.CorrectedBy != 0 {
		return group{title, strong(fmt.Sprintf("Entry %d took the place of this one.", kept.CorrectedBy))}
	}
	words := sheet.MachinedIn(kept.Machining, r.units)
	g := group{title, strong(words.CleanedUp)}
	for _, line := range words.Lines {
		g = append(g, sentence(line))
	}
	if len(words.Stations) == 0 {
		return g
	}
	t := &table{Class: "window", narrow: true, Bare: true, Columns: []column{
		right("Depth, " + r.set.Depth.Name), right("Angle, deg"), right("Diameter, " + r.set.Fine.Name),
	}}
	for _, at := range words.Stations {
		t.Rows = append(t.Rows, row{Cells: []cell{{{Text: at.Depth}}, {{Text: at.Angle}}, {{Text: at.Diameter}}}})
	}
	return append(g, t)
}
