package paper

import (
	"fmt"
	"strings"

	"arctally/analyze/inspect"
	"arctally/report/sheet"
)

// dispositionLines say what is on record about a finding; none is nothing.
func dispositionLines(item *inspect.Item) (lines []string) {
	if item.Current == nil {
		return nil
	}
	lines = append(lines, decidedLines(item.Current)...)
	if item.Worse {
		lines = append(lines, "It lies further beyond its limit now than when it was accepted, so it is open again.")
	}
	for k := range item.History {
		kept := &item.History[k]
		if kept.Number == item.Current.Number || kept.Disposition == nil {
			continue
		}
		line := fmt.Sprintf("Before, entry %d, %s, %s: %s, %s, %s", kept.Number, kept.By, sheet.Minute(kept.At),
			kept.Disposition.Decision, kept.Disposition.Method, kept.Disposition.Result)
		if kept.Disposition.Remark != "" {
			line += "; remark: " + strings.TrimSuffix(kept.Disposition.Remark, ".")
		}
		if kept.CorrectedBy != 0 {
			line += fmt.Sprintf("; corrected by entry %d", kept.CorrectedBy)
		}
		lines = append(lines, line+".")
	}
	return lines
}

func decidedLines(e *inspect.Entry) []string {
	d := e.Disposition
	lines := []string{
		fmt.Sprintf("Inspection: %s; %s.", d.Method, d.Result), "Decision: " + string(d.Decision) + ".",
		fmt.Sprintf("%s, %s, entry %d.", e.By, sheet.Minute(e.At), e.Number),
	}
	if d.Remark != "" {
		lines = append(lines, "Remark: "+d.Remark)
	}
	if n := len(e.Photographs); n > 0 {
		lines = append(lines, sheet.Plural(n, "photograph", "photographs")+" below.")
	}
	return lines
}

func lastEntry(item *inspect.Item) string {
	if item.Current == nil {
		return "none"
	}
	return fmt.Sprintf("entry %d, %s, %s: %s", item.Current.Number, item.Current.By, sheet.Minute(item.Current.At), item.Current.Disposition.Decision)
}
