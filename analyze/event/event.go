// Package event knows which findings are of one cause. A person decides on causes:
// a wire that slips shows as a low wire speed, a low current and a high voltage, and is
// one thing to look at, not three.
//
// Terms. An event is the findings of one cause: they began together, at one place. A
// sign is a rule and the side of its limit. A cause is told by some signs, and other signs
// show with it; table in causes.go has a row a cause. The telling sign that
// stands first in its row leads the event: its finding gives sentence and place.
//
// How findings are grouped, pass by pass, the rows from first to last (ours; common
// practice, no source):
//
//   - A finding that tells a cause opens an event. What tells the same cause in the same time,
//     and what shows with it and begins in that time, give or take together, belongs to it.
//   - What sums up a pass (its heat input, its arc-on ratio) goes to the longest event of the pass
//     that it shows with.
//   - What no row has is an event of its own, with the likeliest cause of its rule.
//   - What concerns whole passes is one event over all passes with the same cause and the
//     same leading sign: a set-point that is wrong in forty passes is decided on once.
//   - What still went on as a pass ended, and is there as the next one begins, goes on.
//   - What comes again on every turn (a torch off the centre, an oval bore, a gap elsewhere) is one
//     event by its angle.
//   - The same cause at two places of one pass is two events. A cause that was met at places
//     in all is spread over the record: from there on it is one event without a place.
//   - What is a part of a flaw of the wall belongs to that flaw, from whichever pass.
//
// An event's number is its rank by the first of its findings. It stays when later passes come;
// of the pass that is being laid it may still change. An event that turns out to be part of a
// flaw of the wall goes into that one, and no other one gets its number.
//
// What breaks the rules: of two causes at one moment the first in the table takes
// what shows with both. A sum of a pass goes to one event where several brought it
// about. A set-point that was put right and is wrong again later is one event. What was met
// in two passes far apart for different reasons, and concerns all of each, is one event too.
// An angle that is lost while rings are laid shifts every gap, and the pass that it ended early is an event beside.
// None of it hides a finding: each keeps its place, its sentence and its state.
//
// The package has no errors.
package event

import (
	"slices"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/pass"
)

// Event is the findings of one cause.
type Event struct {
	Number   int
	Cause    Cause
	Findings []int       // their numbers, from the lowest
	Lead     int         // number of the finding that tells the cause
	Passes   []int       // numbers of the passes, from the first
	Layer    int         // 0 where it is not one layer, or not known
	Place    *bore.Place // where it began; nil where that is not known, and of what has no one place
	Start    pass.Moment // of the leading finding
	Whole    bool        // it concerns whole passes
	Spread   bool        // the cause was met at so many places that the rest of them are one event
	Sentence string      // for a technician
}

// together is by how many seconds the findings of one cause may seem to begin apart: a
// mean is taken over half a second, a look at the waveform takes as long, and a slow meter reads once a second.
// Ours, no source.
const together quantity.Seconds = 2

// places is at how many places a cause is met before the rest is one event: more
// are no spots to look at one by one, but a repair that goes wrong all over. Ours, no source.
const places = 20

// Group returns the events of findings, by their numbers. It looks at what the findings
// say, and not at the order in which they come.
func Group(findings []finding.Finding) []Event {
	found := make([]*finding.Finding, len(findings))
	for k := range findings {
		found[k] = &findings[k]
	}
	slices.SortStableFunc(found, canonical)
	g := &grouping{events: map[*finding.Finding]*cluster{}, whole: map[standing]*cluster{}, spread: map[Cause]*cluster{}, met: map[Cause]int{}}
	for from := 0; from < len(found); {
		until := from + 1
		for until < len(found) && found[until].Pass == found[from].Pass {
			until++
		}
		g.pass(found[from:until])
		from = until
	}
	g.flaws(found)
	return g.result()
}
