package sheet

import (
	"fmt"
	"math"

	"arctally/analyze/event"
	"arctally/analyze/inspect"
)

// Event is the findings of one cause, with the time at which the leading one began.
type Event struct {
	inspect.EventItem
	Began Instant
	Lead  *Finding   // tells the cause
	Worst *Finding   // the furthest beyond its limit of those that show the same as the leading one
	Of    []*Finding // all of them, by their numbers
	units Units
}

// EventRow is one event; null is not known, and what concerns whole passes has no angle.
type EventRow struct {
	Number           int      `json:"number"`
	Cause            string   `json:"cause"`
	Findings         []int    `json:"findings"` // their numbers
	Lead             int      `json:"lead"`     // number of the finding that tells the cause
	Passes           []int    `json:"passes"`
	Layer            *int     `json:"layer"`
	Angle            *float64 `json:"angle_deg"`
	AngleUncertainty *float64 `json:"angle_uncertainty_deg"` // expanded, k = 2
	Depth            *float64 `json:"depth_mm"`
	Start            *string  `json:"start"`
	Epoch            int      `json:"epoch"`
	TickNS           int64    `json:"tick_ns"`
	Whole            bool     `json:"whole_passes"`
	Spread           bool     `json:"spread"` // met at so many places that the rest of them are one event
	Sentence         string   `json:"sentence"`
	State            string   `json:"state"`
	Open             int      `json:"open_findings"`
}

// eventsOf are the events of a sheet that has its findings.
func (s *Sheet) eventsOf() (events []Event) {
	byNumber := make(map[int]*Finding, len(s.Findings))
	for k := range s.Findings {
		byNumber[s.Findings[k].Number] = &s.Findings[k]
	}
	for _, item := range s.Book.Events {
		item.Place = clone(item.Place)
		e := Event{EventItem: item, Lead: byNumber[item.Lead], units: s.units}
		e.Began, e.Worst = e.Lead.Began, e.Lead
		for _, number := range item.Findings {
			f := byNumber[number]
			f.Event = item.Number
			e.Of = append(e.Of, f)
			if f.Rule == e.Lead.Rule && f.Below() == e.Lead.Below() && math.Abs(f.Beyond) > math.Abs(e.Worst.Beyond) {
				e.Worst = f
			}
		}
		events = append(events, e)
	}
	return events
}

// SentenceFor is the sentence in the units of a reader.
func (e *Event) SentenceFor(u Units) string { return u.Words(e.Sentence) }

// Deep is how deep it began, in the units of the sheet; a place must be known.
func (e *Event) Deep() string { return Say(e.Place.Depth, e.units.Set().Depth) }

// Where says where the event is, as a sentence goes on: its passes, and its place where it has one.
func (e *Event) Where(u Units) string {
	passes := "pass " + event.Ranges(e.Passes)
	if len(e.Passes) > 1 {
		passes = "passes " + event.Ranges(e.Passes)
	}
	if e.Layer > 0 {
		passes += fmt.Sprintf(", layer %d", e.Layer)
	}
	switch {
	case e.Whole:
		return "all of " + passes
	case e.Spread:
		return passes + ", at many places"
	case e.Place == nil:
		return passes + ", place not known"
	}
	angle := Digits(Plain(&e.Place.Angle), 0)
	if doubt := AngleUncertainty(e.Place); doubt != nil {
		angle += " ±" + AngleDigits(*doubt)
	}
	return fmt.Sprintf("%s, from %s deg at %s depth", passes, angle, Say(e.Place.Depth, u.Set().Depth))
}

// WorstText says the worst value and its limit.
func (e *Event) WorstText(u Units) string {
	m := MeasureOf(e.Worst.Rule, u)
	worst, limit := m.Against(e.Worst.Finding.Worst, e.Worst.Limit)
	return fmt.Sprintf("%s %s%s, limit %s%s", Spaced(string(e.Worst.Rule)), worst, m.Suffix(), limit, m.Suffix())
}

// FindingsText names the findings of the event.
func (e *Event) FindingsText() string {
	if len(e.Findings) == 1 {
		return "finding " + event.Ranges(e.Findings)
	}
	return "findings " + event.Ranges(e.Findings)
}

func (e *Event) row() EventRow {
	angle, depth := PlaceOf(e.Place)
	return EventRow{
		Number: e.Number, Cause: string(e.Cause), Findings: e.Findings, Lead: e.Lead.Number, Passes: e.Passes, Layer: positive(e.Layer),
		Angle: angle, AngleUncertainty: AngleUncertainty(e.Place), Depth: depth, Start: e.Began.rfc3339(), Epoch: e.Lead.Start.Epoch, TickNS: e.Lead.Start.Tick,
		Whole: e.Whole, Spread: e.Spread, Sentence: e.Sentence, State: string(e.State), Open: e.Open,
	}
}

// eventRows are the events as rows.
func (s *Sheet) eventRows() []EventRow {
	rows := make([]EventRow, 0, len(s.Events))
	for k := range s.Events {
		rows = append(rows, s.Events[k].row())
	}
	return rows
}
