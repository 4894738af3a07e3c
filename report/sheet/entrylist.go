package sheet

import (
	"fmt"
	"io"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/inspect"
)

// EntryList writes what people put on record, entry by entry.
func (s *Sheet) EntryList(w io.Writer, u Units) error {
	var b strings.Builder
	b.WriteString("entries\n")
	for _, kept := range s.book.Entries() {
		b.WriteString(s.entryText(&kept, u))
	}
	if b.Len() == len("entries\n") {
		b.WriteString("     (none)\n")
	}
	for k := range s.book.Findings {
		if item := &s.book.Findings[k]; item.Worse {
			fmt.Fprintf(&b, "finding %d is open again: it lies further beyond its limit than when entry %d accepted it\n", item.Of.Number, item.Current.Number)
		}
	}
	for k := range s.book.Orphans {
		b.WriteString(strings.Join(wrap(orphanText(&s.book.Orphans[k], u), pageWidth), "\n  ") + "\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// orphanText tells of a decision whose finding is not there any more.
func orphanText(item *inspect.Item, u Units) string {
	entry := item.History[len(item.History)-1].Number
	text := fmt.Sprintf("entry %d is about a finding that this judgement does not have: %s", entry, referenceText(&item.Of, u))
	if item.State == "" {
		return text + "; it was corrected"
	}
	return text + "; " + string(item.State)
}

func referenceText(of *inspect.Reference, u Units) string {
	text := fmt.Sprintf("%s, pass %d", of.Rule, of.Pass)
	if of.Angle != nil && of.Depth != nil {
		text += fmt.Sprintf(", %.0f deg, %s deep", float64(*of.Angle), quantity.Text(*of.Depth, u.set().length, u.set().depth))
	}
	return text
}

func (s *Sheet) entryText(kept *inspect.Kept, u Units) string {
	subject, lines := "machining", []string(nil)
	if d := kept.Disposition; d != nil {
		subject = fmt.Sprintf("finding %d (%s)", d.Of.Number, referenceText(&d.Of, u))
		lines = append(lines, fmt.Sprintf("%s: %s; %s", d.Method, d.Result, d.Decision), d.Remark)
	} else {
		lines = s.machiningText(kept.Machining, u)
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
func (s *Sheet) machiningText(m *inspect.Machining, u Units) (lines []string) {
	in := *s
	in.units = u
	view := in.machiningView("", m)
	for _, at := range view.Stations {
		lines = append(lines, fmt.Sprintf("%s %s deep, %s deg: %s %s", at.Depth, u.set().length, at.Angle, at.Diameter, view.Unit))
	}
	return append(append(lines, view.Lines...), view.CleanedUp)
}

// fine is how many decimals a measured diameter is shown with.
func (u Units) fine() int {
	if u == US {
		return 4
	}
	return 3
}

// sizeText says what the diameters come to, and how they stand to what is wanted.
func sizeText(m *inspect.Machining, size *inspect.Size, text func(quantity.Metres) string) string {
	words := fmt.Sprintf("from %s to %s", text(size.Least.Diameter), text(size.Greatest.Diameter))
	if out := size.OutOfRound(); out != nil {
		words += "; out of round by " + text(*out)
	}
	if size.Taper != nil {
		words += "; taper " + text(*size.Taper)
	}
	if w := m.Wanted; !w.IsZero() {
		words += "; wanted " + wantedText(w, text) + ": " + sizeVerdict(size, text)
	}
	return words
}

func wantedText(w quantity.Range[quantity.Metres], text func(quantity.Metres) string) string {
	switch {
	case !w.HasLow:
		return "at most " + text(w.High)
	case !w.HasHigh:
		return "at least " + text(w.Low)
	default:
		return text(w.Low) + " to " + text(w.High)
	}
}

// sizeVerdict never says more than the uncertainty lets it.
func sizeVerdict(size *inspect.Size, text func(quantity.Metres) string) string {
	switch {
	case size.Verdict != "":
		return string(size.Verdict)
	case size.Beyond != 0:
		return "out by " + text(size.Beyond) + " as measured; no uncertainty is on record"
	default:
		return "inside as measured; no uncertainty is on record, so that it proves nothing"
	}
}
