package paper

import (
	"strings"

	"arctally/report/sheet"
)

// checkLine is one check of the printed list.
type checkLine struct{ What, When, By, Tool, Due, Result, Holds string }

func checkLines(s *sheet.Sheet) []checkLine {
	lines := make([]checkLine, 0, len(s.Checks))
	for _, c := range s.Checks {
		lines = append(lines, checkLine{
			What: c.Title(), When: c.Done.UTC().Format("2006-01-02 15:04 UTC"), By: c.By,
			Tool: sheet.OrDash(strings.TrimPrefix(sheet.CheckTool(c), ", with ")), Due: sheet.OrDash(c.Due),
			Result: strings.Join(append([]string{c.Sentence}, c.Notes...), "; "), Holds: sheet.HoldsFrom(c),
		})
	}
	return lines
}
