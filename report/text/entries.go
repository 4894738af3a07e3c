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
	var b strings.Builder
	b.WriteString("entries\n")
	for _, kept := range s.Book.Entries() {
		b.WriteString(entryText(s, &kept, u))
	}
	if b.Len() == len("entries\n") {
		b.WriteString("     (none)\n")
	}
	for k := range s.Book.Findings {
		if item := &s.Book.Findings[k]; item.Worse {
			fmt.Fprintf(&b, "finding %d is open again: it lies further beyond its limit than when entry %d accepted it\n", item.Of.Number, item.Current.Number)
		}
	}
	for k := range s.Book.Orphans {
		b.WriteString(strings.Join(wrap(sheet.OrphanText(&s.Book.Orphans[k], u), pageWidth), "\n  ") + "\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func entryText(s *sheet.Sheet, kept *inspect.Kept, u sheet.Units) string {
	subject, lines := "machining", []string(nil)
	if d := kept.Disposition; d != nil {
		subject = fmt.Sprintf("finding %d (%s)", d.Of.Number, sheet.ReferenceText(&d.Of, u))
		lines = append(lines, fmt.Sprintf("%s: %s; %s", d.Method, d.Result, d.Decision), d.Remark)
	} else {
		lines = machiningText(s, kept.Machining, u)
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
	var b strings.Builder
	fmt.Fprintf(&b, "%2d %s, %s UTC, by %s\n", kept.Number, subject, kept.At.UTC().Format("2006-01-02 15:04"), kept.By)
	for _, line := range lines {
		for _, part := range wrap(line, pageWidth-5) {
			b.WriteString("     " + part + "\n")
		}
	}
	return b.String()
}

// machiningText is a final measurement in lines.
func machiningText(s *sheet.Sheet, m *inspect.Machining, u sheet.Units) (lines []string) {
	in := *s
	in.Units = u
	view := in.MachiningView("", m)
	for _, at := range view.Stations {
		lines = append(lines, fmt.Sprintf("%s %s deep, %s deg: %s %s", at.Depth, u.Set().Length, at.Angle, at.Diameter, view.Unit))
	}
	return append(append(lines, view.Lines...), view.CleanedUp)
}
