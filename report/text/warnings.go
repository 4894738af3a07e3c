package text

import (
	"fmt"
	"io"

	"arctally/report/sheet"
)

// warningsShown keeps a bad capture from scrolling its passes out of sight;
// the JSON and the weld record have all of them.
const warningsShown = 20

// write writes a grid with what its figures rest on, and the doubts of the record.
func write(w io.Writer, s *sheet.Sheet, title string, g *grid, notes []string) error {
	var p page
	p.head(title, s)
	p.table(g, notes...)
	p.lines(warningLines(s)...)
	return p.writeTo(w, title)
}

func warningLines(s *sheet.Sheet) []string {
	var lines []string
	for i, warning := range s.Warnings {
		if i == warningsShown {
			return append(lines, fmt.Sprintf("warning: and %d more, all in --json and in the weld record", len(s.Warnings)-i))
		}
		lines = append(lines, "warning: "+warningLine(&warning))
	}
	return lines
}

// warningLine is the warning with its pass and its time.
func warningLine(w *sheet.Warning) string {
	text := sheet.Spaced(w.Kind)
	if w.Warning.Pass > 0 {
		text += fmt.Sprintf(", pass %d", w.Warning.Pass)
	}
	if when := w.When(); when != "" {
		text += ", " + when
	}
	return text + ": " + w.Text
}
