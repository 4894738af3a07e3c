package paper

import (
	"fmt"
	"slices"
	"strings"

	"arctally/analyze/event"
	"arctally/analyze/inspect"
	"arctally/report/sheet"
)

// items are how the findings of an event stand.
func (r *record) items(e *sheet.Event) (items []*inspect.Item) {
	for _, number := range e.Findings {
		items = append(items, &r.Book.Findings[slices.IndexFunc(r.Findings, func(f sheet.Finding) bool { return f.Number == number })])
	}
	return items
}

// decidedAlike are findings of an event about which one act is all that is on record.
type decidedAlike struct {
	item     *inspect.Item
	findings []int
	entries  []int
}

// decisionLines say what is on record about an event: once where one act decided on all of it, else finding by finding.
func (r *record) decisionLines(e *sheet.Event) (lines []string) {
	var alike []*decidedAlike
	for _, item := range r.items(e) {
		if item.Current == nil {
			continue
		}
		k := slices.IndexFunc(alike, func(a *decidedAlike) bool {
			return len(item.History) == 1 && len(a.item.History) == 1 && item.Worse == a.item.Worse && a.item.Current.SameAct(item.Current)
		})
		if k < 0 {
			alike, k = append(alike, &decidedAlike{item: item}), len(alike)
		}
		alike[k].findings, alike[k].entries = append(alike[k].findings, item.Of.Number), append(alike[k].entries, item.Current.Number)
	}
	for _, a := range alike {
		own := dispositionLines(a.item, a.entries)
		if len(a.findings) < len(e.Findings) {
			own[0] = upperFirst(sheet.Plural(len(a.findings), "finding", "findings")) + ", " + event.Ranges(a.findings) + ": " + own[0]
		}
		lines = append(lines, own...)
	}
	return lines
}

// lastEntryOf is the newest entry about a finding of an event that counts.
func (r *record) lastEntryOf(e *sheet.Event) string {
	var last *inspect.Item
	for _, item := range r.items(e) {
		if item.Current != nil && (last == nil || item.Current.Number > last.Current.Number) {
			last = item
		}
	}
	if last == nil {
		return "none"
	}
	return lastEntry(last)
}

func upperFirst(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// dispositionLines say what is on record about a finding; none is nothing.
func dispositionLines(item *inspect.Item, entries []int) (lines []string) {
	if item.Current == nil {
		return nil
	}
	lines = append(lines, decidedLines(item.Current, entries)...)
	if item.Worse {
		lines = append(lines, "It lies further beyond its limit now than when it was accepted, so it is open again.")
	}
	for k := range item.History {
		kept := &item.History[k]
		if kept.Number == item.Current.Number || kept.Disposition == nil {
			continue
		}
		line := fmt.Sprintf("Before, entry %d, %s, %s: %s, %s, %s", kept.Number, kept.Who(), sheet.Minute(kept.At),
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

func decidedLines(e *inspect.Entry, entries []int) []string {
	d, name := e.Disposition, "entry "
	if len(entries) > 1 {
		name = "entries "
	}
	lines := []string{
		fmt.Sprintf("Inspection: %s; %s.", d.Method, d.Result), "Decision: " + string(d.Decision) + ".",
		fmt.Sprintf("%s, %s, %s.", e.Who(), sheet.Minute(e.At), name+event.Ranges(entries)),
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
	return fmt.Sprintf("entry %d, %s, %s: %s", item.Current.Number, item.Current.Who(), sheet.Minute(item.Current.At), item.Current.Disposition.Decision)
}
