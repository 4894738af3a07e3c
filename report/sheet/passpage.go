package sheet

import (
	"cmp"
	"slices"
)

// MostPasses is how many passes are on one page of their table.
const MostPasses = 100

// PassPage is a part of the table of passes.
type PassPage struct {
	Passes []PassLine `json:"passes"`
	From   int        `json:"from"` // how many come before
	All    int        `json:"all"`
}

// PassLine is a pass in the table of passes; null is not known.
type PassLine struct {
	Number       int      `json:"number"`
	Layer        *int     `json:"layer"`
	Verdict      *string  `json:"verdict"`
	Findings     int      `json:"findings"`
	Judged       *float64 `json:"judged_kj_per_mm"` // what the procedure judges: heat input, or arc energy
	Expanded     *float64 `json:"expanded_uncertainty_kj_per_mm"`
	ArcTime      *float64 `json:"arc_time_s"`
	ArcOnRatio   *float64 `json:"arc_on_ratio"`
	PlannedArcOn *float64 `json:"planned_arc_on_ratio"`
	VoltageMean  *float64 `json:"voltage_mean_v"`
	CurrentMean  *float64 `json:"current_mean_a"`
	TravelSpeed  *float64 `json:"travel_speed_mm_min"`
	TravelBasis  *string  `json:"travel_basis"`
}

// PassPage returns the passes from so many on.
func (s *Sheet) PassPage(from int) PassPage {
	page := PassPage{Passes: []PassLine{}, From: min(from, len(s.Passes)), All: len(s.Passes)}
	for k := range part(s.Passes, page.From, MostPasses) {
		page.Passes = append(page.Passes, s.passLine(page.From+k))
	}
	return page
}

func (s *Sheet) passLine(k int) PassLine {
	p := &s.Passes[k]
	value, expanded := s.Judged(p)
	if proved := s.Proof.Passes[k].Expanded; p.Budget != nil && proved != nil {
		expanded = proved // as its uncertainty has it
	}
	return PassLine{
		Number: p.Number, Layer: positive(p.Layer), Verdict: word(string(p.Verdict)), Findings: p.Findings,
		Judged: In(value, "kJ/mm"), Expanded: In(expanded, "kJ/mm"), ArcTime: Plain(&p.ArcTime), ArcOnRatio: p.KnownArcOn(), PlannedArcOn: p.KnownPlan(),
		VoltageMean: Plain(p.VoltageMean), CurrentMean: Plain(p.CurrentMean), TravelSpeed: In(p.TravelSpeed, "mm/min"), TravelBasis: p.KnownTravelBasis(),
	}
}

// PassAlone is one pass with what was found in it.
type PassAlone struct {
	Pass     PassRow      `json:"pass"`
	Before   *int         `json:"before"` // number of the pass before it; null is none
	After    *int         `json:"after"`
	Findings []FindingRow `json:"findings"` // in the order in which they began
	Events   []EventRow   `json:"events"`   // those that they belong to
	Flagged  int          `json:"flagged"`  // findings of the whole job
}

// PassAlone returns a pass by its number. False is one that is not there.
func (s *Sheet) PassAlone(number int) (one PassAlone, ok bool) {
	k := slices.IndexFunc(s.Passes, func(p Pass) bool { return p.Number == number })
	if k < 0 {
		return one, false
	}
	one = PassAlone{Pass: s.passRow(k), Findings: []FindingRow{}, Events: []EventRow{}, Flagged: len(s.Findings)}
	if k > 0 {
		one.Before = &s.Passes[k-1].Number
	}
	if k+1 < len(s.Passes) {
		one.After = &s.Passes[k+1].Number
	}
	events := map[int]bool{}
	for i := range s.Findings {
		if f := &s.Findings[i]; f.Pass == number && f.Start.Epoch == one.Pass.Epoch {
			one.Findings = append(one.Findings, s.findingRow(i))
			events[f.Event] = true
		}
	}
	slices.SortStableFunc(one.Findings, func(a, b FindingRow) int { return cmp.Compare(a.TickNS, b.TickNS) })
	for i := range s.Events {
		if events[s.Events[i].Number] {
			one.Events = append(one.Events, s.Events[i].row())
		}
	}
	return one, true
}
