package sheet

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"arctally/analyze/bore"
	"arctally/analyze/inspect"
)

// EventGroup is by what events stand together in a list.
type EventGroup string

// The groups; the empty one is none.
const (
	ByPass  EventGroup = "pass"
	ByCause EventGroup = "cause"
	ByLayer EventGroup = "layer"
)

// EventGroups are all of them.
var EventGroups = []EventGroup{"", ByPass, ByCause, ByLayer}

// The states of events that a person chooses by.
const (
	OpenEvents    = "open"
	DecidedEvents = "decided"
)

// EventStates are all of them; the empty one chooses every event.
var EventStates = []string{"", OpenEvents, DecidedEvents}

// EventChoice is which events a person looks at, and in which order; what is left empty chooses all.
type EventChoice struct {
	State, Cause, Rule string
	Pass, Layer        int
	Group              EventGroup
}

// facet is one thing that events are chosen by.
type facet struct {
	chosen string                // empty is all
	of     func(*Event) []string // the values that an event has
}

// facets are those of a choice, in the order state, cause, rule, pass, layer.
func (c EventChoice) facets() []facet {
	return []facet{
		{c.State, func(e *Event) []string { return []string{stateOf(e)} }},
		{c.Cause, func(e *Event) []string { return []string{string(e.Cause)} }},
		{c.Rule, func(e *Event) []string { return eachOf(e, func(f *Finding) string { return string(f.Rule) }) }},
		{numberText(c.Pass), func(e *Event) []string {
			return eachOf(e, func(f *Finding) string { return numberText(f.Finding.Pass) })
		}},
		{numberText(c.Layer), func(e *Event) []string { return eachOf(e, func(f *Finding) string { return numberText(f.Layer) }) }},
	}
}

func stateOf(e *Event) string {
	if e.State.IsOpen() {
		return OpenEvents
	}
	return DecidedEvents
}

// eachOf are the values of the findings of an event, each once, without those that are not known.
func eachOf(e *Event, value func(*Finding) string) (values []string) {
	for _, f := range e.Of {
		if v := value(f); v != "" && !slices.Contains(values, v) {
			values = append(values, v)
		}
	}
	return values
}

// numberText is empty for 0, which is no number of a pass or layer.
func numberText(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprint(n)
}

// EventOption is a value that events can be chosen by, and how many that would leave.
type EventOption struct {
	Value string `json:"value"`
	Count int    `json:"count"`
}

// choose returns the events that are chosen, and for each facet what can be chosen instead: by the
// count of events that the other facets leave.
func (s *Sheet) choose(c EventChoice) (chosen []*Event, options [][]EventOption) {
	all := c.facets()
	counts := make([]map[string]int, len(all))
	for k := range counts {
		counts[k] = map[string]int{}
	}
	for k := range s.Events {
		e := &s.Events[k]
		var values [][]string
		var misses []int
		for place, one := range all {
			own := one.of(e)
			if values = append(values, own); one.chosen != "" && !slices.Contains(own, one.chosen) {
				misses = append(misses, place)
			}
		}
		if len(misses) == 0 {
			chosen = append(chosen, e)
		}
		for place, own := range values {
			if len(misses) == 0 || len(misses) == 1 && misses[0] == place {
				for _, v := range own {
					counts[place][v]++
				}
			}
		}
	}
	for k := range counts {
		options = append(options, optionsOf(counts[k]))
	}
	return chosen, options
}

// optionsOf are the values in their order: numbers by size, words by the alphabet.
func optionsOf(counts map[string]int) []EventOption {
	options := make([]EventOption, 0, len(counts))
	for v, n := range counts {
		options = append(options, EventOption{v, n})
	}
	slices.SortFunc(options, func(a, b EventOption) int {
		return cmp.Or(cmp.Compare(asNumber(a.Value), asNumber(b.Value)), cmp.Compare(a.Value, b.Value))
	})
	return options
}

func asNumber(text string) (n int) {
	_, _ = fmt.Sscan(text, &n) // words are all 0
	return n
}

// severity is how far the worst finding of an event lies beyond its limit, as a share of the limit:
//
//	severity = max( |worst - limit| / |limit| )
//
// Ours, no source: it puts events of different rules in an order, and judges nothing.
func (e *Event) severity() float64 {
	most := 0.0
	for _, f := range e.Of {
		share := math.Abs(f.Beyond)
		if f.Limit != 0 {
			share /= math.Abs(f.Limit)
		}
		most = max(most, share)
	}
	return most
}

// undecided reports whether nobody has decided yet on some of it. What is to be repaired is open,
// but decided.
func (e *Event) undecided() bool { return e.State == inspect.Open || e.State == inspect.PartlyDecided }

// stage is 0 for what nobody has decided on, 1 for what is to be repaired, 2 for what is closed.
func (e *Event) stage() int {
	switch {
	case e.undecided():
		return 0
	case e.State.IsOpen():
		return 1
	}
	return 2
}

// before puts events by their group, and within it the worst first; what stands open comes before
// what does not where that counts.
func (c EventChoice) before(open bool) func(a, b *Event) int {
	return func(a, b *Event) int {
		byStage := 0
		if open {
			byStage = cmp.Compare(a.stage(), b.stage())
		}
		return cmp.Or(c.byGroup(a, b), byStage, cmp.Compare(b.severity(), a.severity()), cmp.Compare(a.Number, b.Number))
	}
}

func (c EventChoice) byGroup(a, b *Event) int {
	switch c.Group {
	case ByPass:
		return cmp.Compare(a.Passes[0], b.Passes[0])
	case ByLayer:
		return cmp.Compare(cmp.Or(a.Layer, math.MaxInt), cmp.Or(b.Layer, math.MaxInt))
	case ByCause:
		return cmp.Compare(a.Cause, b.Cause)
	}
	return 0
}

// headOf is the heading under which an event stands.
func (c EventChoice) headOf(e *Event) string {
	switch c.Group {
	case ByPass:
		return fmt.Sprintf("Pass %d", e.Passes[0])
	case ByLayer:
		if e.Layer == 0 {
			return "Several layers, or not known"
		}
		return fmt.Sprintf("Layer %d", e.Layer)
	case ByCause:
		return string(e.Cause)
	}
	return ""
}

// turnOf is in which turn of its pass an event of a helix began, from 1; 0 is not known, or there are several passes. A helix
// goes deeper by its pitch with every turn:
//
//	turn = floor( (depth - depth of the start) / pitch ) + 1
func (s *Sheet) turnOf(e *Event) int {
	d := &s.Job.Deposit
	k := slices.IndexFunc(s.Passes, func(p Pass) bool { return p.Number == e.Lead.Finding.Pass })
	if k < 0 || len(e.Passes) > 1 || e.Place == nil || s.Passes[k].StartPlace == nil || d.Pattern != bore.Helix || d.Pitch <= 0 {
		return 0
	}
	turned := float64((e.Place.Depth - s.Passes[k].StartPlace.Depth) / d.Pitch)
	const rounding = 1e-9
	return int(math.Floor(turned+rounding)) + 1
}
