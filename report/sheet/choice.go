package sheet

import (
	"slices"
	"strings"
)

// Choice is which findings a person wants to see; what is left empty chooses all.
type Choice struct {
	Cause string // a part of its words
	Rule  string
	Pass  int
	Layer int
	Open  bool // only those for which somebody has still to do something
}

// Choose returns the events that are chosen, each with those of its findings that are.
func (s *Sheet) Choose(c Choice) (chosen []Event) {
	for _, e := range s.Events {
		if !strings.Contains(strings.ToLower(string(e.Cause)), strings.ToLower(c.Cause)) {
			continue
		}
		e.Of = slices.DeleteFunc(slices.Clone(e.Of), func(f *Finding) bool { return !c.takes(f) })
		if len(e.Of) > 0 {
			chosen = append(chosen, e)
		}
	}
	return chosen
}

func (c Choice) takes(f *Finding) bool {
	return c.names(string(f.Rule)) && (c.Pass == 0 || c.Pass == f.Finding.Pass) && (c.Layer == 0 || c.Layer == f.Layer) && (!c.Open || f.Open)
}

// names reports whether a rule is chosen, by its key or by the words that people read.
func (c Choice) names(rule string) bool {
	return c.Rule == "" || c.Rule == rule || c.Rule == Spaced(rule)
}

// All reports whether nothing is left out.
func (c Choice) All() bool { return c == Choice{} }

// ChosenList returns the findings that are chosen as rows, with their events.
func (s *Sheet) ChosenList(c Choice) FindingList {
	list := s.FindingList()
	if c.All() {
		return list
	}
	events, findings := map[int]bool{}, map[int]bool{}
	for _, e := range s.Choose(c) {
		events[e.Number] = true
		for _, f := range e.Of {
			findings[f.Number] = true
		}
	}
	list.Events = slices.DeleteFunc(list.Events, func(e EventRow) bool { return !events[e.Number] })
	list.Findings = slices.DeleteFunc(list.Findings, func(f FindingRow) bool { return !findings[f.Number] })
	return list
}
