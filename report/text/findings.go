package text

import (
	"fmt"
	"io"
	"strconv"

	"arctally/report/sheet"
)

// Findings writes what to inspect, and where in the bore it is: event by event, with the findings of each.
func Findings(w io.Writer, s *sheet.Sheet, u sheet.Units) error {
	return Chosen(w, s, u, sheet.Choice{}, false)
}

// Chosen writes the findings that are chosen, by their events; brief leaves the findings out.
func Chosen(w io.Writer, s *sheet.Sheet, u sheet.Units, c sheet.Choice, brief bool) error {
	s = s.In(u)
	events, findings := s.Choose(c), 0
	for k := range events {
		findings += len(events[k].Of)
	}
	var notes []string
	if !c.All() {
		notes = append(notes, fmt.Sprintf("chosen: %d of %s, %d of %s", len(events), sheet.Plural(len(s.Events), "event", "events"),
			findings, sheet.Plural(len(s.Findings), "finding", "findings")))
	}
	notes = append(notes, s.TimeNote(), "angle clockwise from the reference mark, seen from the torch side; depth from the entry face")
	if len(s.Findings) > 0 {
		notes = append(notes, s.AngleLines()...)
	}
	g := findingGrid(s, events, u)
	if brief {
		g = eventGrid(s, events, u)
	}
	return write(w, s, "findings", g, append(notes, s.FindingsLine()))
}

// eventGrid has a line an event.
func eventGrid(s *sheet.Sheet, events []sheet.Event, u sheet.Units) *grid {
	g := &grid{none: "(none)", columns: []column{{name: "event"}, {name: "findings"}, {name: "open"}, {name: "start", unit: s.TimeUnit()}, {name: "state", left: true}, {name: "cause", left: true}}}
	for k := range events {
		e := &events[k]
		g.add([]string{strconv.Itoa(e.Number), strconv.Itoa(len(e.Findings)), strconv.Itoa(e.Open), e.Began.Short(), string(e.State), string(e.Cause)},
			wrap(e.Where(u)+"; worst "+e.WorstText(u), pageWidth-len(indent))...)
	}
	return g
}

// findingGrid has a line a finding, below the line of its event.
func findingGrid(s *sheet.Sheet, events []sheet.Event, u sheet.Units) *grid {
	set := u.Set()
	g := &grid{none: "(none)", columns: []column{
		{name: "no"},
		{name: "rule", left: true},
		{name: "pass"},
		{name: "layer"},
		{name: "angle", unit: "deg"},
		{name: "depth", unit: set.Length.Name},
		{name: "start", unit: s.TimeUnit()},
		{name: "for", unit: "s"},
		{name: "worst"},
		{name: "limit"},
		{name: "beyond"},
		{name: "unit", left: true},
		{name: "state", left: true},
	}}
	for k := range events {
		for i, f := range events[k].Of {
			g.add(findingCells(f, u), wrap(f.SentenceFor(u), pageWidth-len(indent))...)
			if i == 0 {
				g.head(wrap(eventLine(&events[k], u), pageWidth)...)
			}
		}
	}
	return g
}

// eventLine is an event in a line: its number, its cause, where it is, how it stands.
func eventLine(e *sheet.Event, u sheet.Units) string {
	text := fmt.Sprintf("event %d: %s, %s; %s", e.Number, e.Cause, e.Where(u), e.FindingsText())
	if len(e.Findings) > 1 {
		text += "; worst " + e.WorstText(u)
	}
	if len(e.Of) < len(e.Findings) {
		text += fmt.Sprintf("; %d of them chosen", len(e.Of))
	}
	return text + "; " + string(e.State)
}

func findingCells(f *sheet.Finding, u sheet.Units) []string {
	m, set := sheet.MeasureOf(f.Rule, u), u.Set()
	angle, depth := sheet.Dash, sheet.Dash
	if f.Place != nil {
		angle = sheet.Digits(sheet.Plain(&f.Place.Angle), 0)
		depth = sheet.Show(&f.Place.Depth, set.Depth)
	}
	worst, limit := m.Against(f.Worst, f.Limit)
	return []string{
		strconv.Itoa(f.Number), sheet.Spaced(string(f.Rule)), strconv.Itoa(f.Finding.Pass), sheet.Count(f.Layer),
		angle, depth, f.Began.Short(), sheet.Digits(sheet.Plain(&f.Duration), 2),
		worst, limit, m.Beyond(f.Beyond), m.Name, f.State,
	}
}
