package text

import (
	"fmt"
	"io"
	"strings"

	"arctally/analyze/inspect"
	"arctally/report/sheet"
)

// Entries writes what people put on record, entry by entry.
func Entries(w io.Writer, s *sheet.Sheet, u sheet.Units) error {
	var p page
	p.lines("entries")
	entries := s.Book.Entries()
	for k := range entries {
		p.entry(&entries[k], u)
	}
	if len(entries) == 0 {
		p.indented(pageWidth, "(none)")
	}
	for k := range s.Book.Findings {
		if item := &s.Book.Findings[k]; item.Worse {
			fmt.Fprintf(&p, "finding %d is open again: it lies further beyond its limit than when entry %d accepted it\n", item.Of.Number, item.Current.Number)
		}
	}
	for k := range s.Book.Orphans {
		p.lines(sheet.OrphanText(&s.Book.Orphans[k], u))
	}
	return p.writeTo(w, "entries")
}

func (p *page) entry(kept *inspect.Kept, u sheet.Units) {
	subject, lines := "machining", []string(nil)
	if d := kept.Disposition; d != nil {
		subject = fmt.Sprintf("finding %d (%s)", d.Of.Number, sheet.ReferenceText(&d.Of, u))
		lines = append(lines, fmt.Sprintf("%s: %s; %s", d.Method, d.Result, d.Decision), d.Remark)
	} else {
		lines = machiningText(kept.Machining, u)
		if kept.Machining.Instrument != "" {
			subject += ", with " + kept.Machining.Instrument
		}
	}
	for _, p := range kept.Photographs {
		lines = append(lines, strings.TrimSuffix(fmt.Sprintf("photograph %.12s, %s, %d bytes: %s", p.SHA256, p.Type, p.Size, p.Caption), ": "))
	}
	if kept.Corrects > 0 {
		lines = append(lines, fmt.Sprintf("takes the place of entry %d", kept.Corrects))
	}
	if kept.CorrectedBy > 0 {
		lines = append(lines, fmt.Sprintf("entry %d took its place", kept.CorrectedBy))
	}
	fmt.Fprintf(p, "%2d %s, %s, by %s\n", kept.Number, subject, sheet.Minute(kept.At), kept.By)
	p.indented(pageWidth-len(indent), lines...)
}

// machiningText is a final measurement in lines.
func machiningText(m *inspect.Machining, u sheet.Units) (lines []string) {
	set, words := u.Set(), sheet.MachinedIn(m, u)
	for _, at := range words.Stations {
		lines = append(lines, fmt.Sprintf("%s %s deep, %s deg: %s %s", at.Depth, set.Depth.Name, at.Angle, at.Diameter, set.Fine.Name))
	}
	return append(append(lines, words.Lines...), words.CleanedUp)
}
