package paper

import (
	"fmt"
	"strings"

	"arctally/report/sheet"
)

// typedLine is one value on paper.
type typedLine struct{ What, When, By, For string }

func typedLines(s *sheet.Sheet) (lines []typedLine) {
	for k := range s.Typed {
		n := &s.Typed[k]
		lines = append(lines, typedLine{n.Said(), strings.TrimSpace(n.Entered.Date() + " " + n.Entered.Clock()), n.By, typedFor(s, k)})
	}
	return lines
}

// typedFor says for which passes a value stands.
func typedFor(s *sheet.Sheet, k int) string {
	if s.Typed[k].Text != "" || s.Typed[k].EndOfPass {
		return sheet.Dash
	}
	passes := s.StandsFor(k)
	switch len(passes) {
	case 0:
		return "no pass"
	case 1:
		return fmt.Sprintf("pass %d", passes[0])
	default:
		return "passes " + strings.Trim(strings.ReplaceAll(fmt.Sprint(passes), " ", ", "), "[]")
	}
}
