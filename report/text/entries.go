package text

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"arctally/analyze/event"
	"arctally/analyze/inspect"
	"arctally/report/sheet"
)

// Entries writes what people put on record, entry by entry.
func Entries(w io.Writer, s *sheet.Sheet, u sheet.Units) error {
	var p page
	p.lines("entries")
	entries := s.Book.Entries()
	for k := 0; k < len(entries); {
		to := k + 1
		for to < len(entries) && entries[to].Disposition != nil && entries[to].SameAct(&entries[k].Entry) {
			to++
		}
		p.act(s, entries[k:to], u)
		k = to
	}
	if len(entries) == 0 {
		p.indented(pageWidth, "(none)")
	}
	for k := range s.Book.Findings {
		if item := &s.Book.Findings[k]; item.Worse {
			p.printf("finding %d is open again: it lies further beyond its limit than when entry %d accepted it\n", item.Of.Number, item.Current.Number)
		}
	}
	for k := range s.Book.Orphans {
		p.lines(sheet.OrphanText(&s.Book.Orphans[k], u))
	}
	return p.writeTo(w, "entries")
}

// act writes the entries of one act: one, or one about each finding of an event.
func (p *page) act(s *sheet.Sheet, act []inspect.Kept, u sheet.Units) {
	first := &act[0]
	number, subject, lines := fmt.Sprintf("%2d", first.Number), "machining", []string(nil)
	if d := first.Disposition; d != nil {
		subject = fmt.Sprintf("finding %d (%s)", d.Of.Number, sheet.ReferenceText(&d.Of, u))
		if len(act) > 1 {
			number, subject = fmt.Sprintf("%2d to %d", first.Number, act[len(act)-1].Number), actSubject(s, act)
		}
		lines = append(lines, fmt.Sprintf("%s: %s; %s", d.Method, d.Result, d.Decision), d.Remark)
	} else {
		lines = machiningText(first.Machining, u)
		if first.Machining.Instrument != "" {
			subject += ", with " + first.Machining.Instrument
		}
	}
	for _, p := range first.Photographs {
		lines = append(lines, strings.TrimSuffix(fmt.Sprintf("photograph %.12s, %s, %d bytes: %s", p.SHA256, p.Type, p.Size, p.Caption), ": "))
	}
	if of := named(act, func(k *inspect.Kept) int { return k.Corrects }); of != "" {
		lines = append(lines, "takes the place of "+of)
	}
	if by := named(act, func(k *inspect.Kept) int { return k.CorrectedBy }); by != "" {
		lines = append(lines, by+" took its place")
	}
	p.printf("%s %s, %s, by %s\n", number, subject, sheet.Minute(first.At), first.Who())
	p.indented(pageWidth-len(indent), lines...)
}

// actSubject names the findings of an act, and their event where they are still one.
func actSubject(s *sheet.Sheet, act []inspect.Kept) string {
	var numbers []int
	for k := range act {
		numbers = append(numbers, act[k].Disposition.Of.Number)
	}
	slices.Sort(numbers)
	subject := "findings " + event.Ranges(numbers)
	if e := s.Book.EventOf(numbers[0]); e != nil && slices.Equal(e.Findings, numbers) {
		return fmt.Sprintf("event %d (%s), %s", e.Number, e.Cause, subject)
	}
	return subject
}

// named names the entries that those of an act point to; empty is none.
func named(act []inspect.Kept, to func(*inspect.Kept) int) string {
	var numbers []int
	for k := range act {
		if n := to(&act[k]); n > 0 {
			numbers = append(numbers, n)
		}
	}
	slices.Sort(numbers)
	switch len(numbers) {
	case 0:
		return ""
	case 1:
		return "entry " + event.Ranges(numbers)
	default:
		return "entries " + event.Ranges(numbers)
	}
}

// machiningText is a final measurement in lines.
func machiningText(m *inspect.Machining, u sheet.Units) (lines []string) {
	set, words := u.Set(), sheet.MachinedIn(m, u)
	for _, at := range words.Stations {
		lines = append(lines, fmt.Sprintf("%s %s deep, %s deg: %s %s", at.Depth, set.Depth.Name, at.Angle, at.Diameter, set.Fine.Name))
	}
	return append(append(lines, words.Lines...), words.CleanedUp)
}
