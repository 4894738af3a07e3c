package paper

import (
	"encoding/base64"
	"fmt"
	"html/template"
	"strings"

	"arctally/analyze/inspect"
	"arctally/report/sheet"
)

// entryTime is how the time of an entry is printed.
const entryTime = "2006-01-02 15:04 UTC"

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
		line := fmt.Sprintf("Before, entry %d, %s, %s: %s, %s, %s", kept.Number, kept.By, kept.At.UTC().Format(entryTime),
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
		fmt.Sprintf("%s, %s, entry %d.", e.By, e.At.UTC().Format(entryTime), e.Number),
	}
	if d.Remark != "" {
		lines = append(lines, "Remark: "+d.Remark)
	}
	if n := len(e.Photographs); n > 0 {
		lines = append(lines, sheet.Plural(n, "photograph", "photographs")+" below.")
	}
	return lines
}

// openLine is a finding for which somebody has still to do something.
type openLine struct{ Number, Rule, Place, Pass, State, Last string }

func openLines(s *sheet.Sheet) (lines []openLine) {
	for i := range s.Findings {
		f, item := &s.Findings[i], &s.Book.Findings[i]
		if item.State.IsOpen() {
			lines = append(lines, openLine{fmt.Sprint(f.Number), sheet.Spaced(string(f.Rule)), placeText(f, s.Units.Set()), findingPassText(f), string(item.State), lastEntry(item)})
		}
	}
	for i := range s.Book.Orphans {
		if item := &s.Book.Orphans[i]; item.State.IsOpen() {
			lines = append(lines, openLine{
				fmt.Sprintf("was %d", item.Of.Number), sheet.Spaced(string(item.Of.Rule)), "decided on in another judgement, which this one does not have",
				fmt.Sprintf("pass %d", item.Of.Pass), string(item.State), lastEntry(item),
			})
		}
	}
	return lines
}

// orphanLines are decisions on findings that this judgement does not have.
func orphanLines(s *sheet.Sheet) (lines []string) {
	for k := range s.Book.Orphans {
		item := &s.Book.Orphans[k]
		lines = append(lines, strings.Join(append([]string{sheet.OrphanText(item, s.Units) + "."}, dispositionLines(item)...), " "))
	}
	return lines
}

func lastEntry(item *inspect.Item) string {
	if item.Current == nil {
		return "none"
	}
	return fmt.Sprintf("entry %d, %s, %s: %s", item.Current.Number, item.Current.By, item.Current.At.UTC().Format(entryTime), item.Current.Disposition.Decision)
}

// photographView is one picture with its words.
type photographView struct {
	Title, Caption, SHA256, Why string   // Why it cannot be shown
	Also                        []string // other entries that show it
	Source                      template.URL
	content                     []byte
}

// photographViews are the pictures of all entries that stand or once stood, each
// once, with the words of every entry that has it.
func photographViews(s *sheet.Sheet) (views []photographView) {
	seen := map[string]int{}
	take := func(title string, photographs []inspect.Photograph) {
		for _, p := range photographs {
			if at, again := seen[p.SHA256]; again {
				views[at].Also = append(views[at].Also, strings.TrimSuffix(title+": "+p.Caption, ": "))
				continue
			}
			seen[p.SHA256] = len(views)
			views = append(views, newPhotographView(s, title, p))
		}
	}
	for i := range s.Book.Findings {
		for _, kept := range s.Book.Findings[i].History {
			take(fmt.Sprintf("Finding %d, entry %d", s.Findings[i].Number, kept.Number), kept.Photographs)
		}
	}
	for i := range s.Book.Orphans {
		for _, kept := range s.Book.Orphans[i].History {
			take(fmt.Sprintf("Former finding %d, entry %d", s.Book.Orphans[i].Of.Number, kept.Number), kept.Photographs)
		}
	}
	for _, kept := range s.Book.Machinings {
		take(fmt.Sprintf("After machining, entry %d", kept.Number), kept.Photographs)
	}
	return views
}

func newPhotographView(s *sheet.Sheet, title string, p inspect.Photograph) photographView {
	v := photographView{Title: title, Caption: p.Caption, SHA256: p.SHA256}
	if s.Photograph == nil {
		v.Why = "The picture is in the record only."
		return v
	}
	mime, content, ok := s.Photograph(p.SHA256)
	switch {
	case !ok:
		v.Why = "The record does not have this picture."
	case mime != "image/jpeg" && mime != "image/png":
		v.Why = "This kind of picture cannot be shown here: " + strings.TrimSpace(mime) + "."
	default:
		// The media type is one of two, and base64 has no character that means anything here.
		v.Source = template.URL("data:" + mime + ";base64," + base64.StdEncoding.EncodeToString(content))
		v.content = content
	}
	return v
}
