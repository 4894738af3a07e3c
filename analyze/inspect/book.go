package inspect

import (
	"cmp"
	"slices"
)

// State is how a finding stands.
type State string

// The states of a finding. Open and ToRepair are open.
const (
	Open     State = "open"
	Accepted State = "accepted"
	ToRepair State = "to repair"
	Removed  State = "machined away"
)

// IsOpen reports whether somebody has still to do something.
func (s State) IsOpen() bool { return s == Open || s == ToRepair || s == PartlyDecided }

// Kept is an entry, and the one that took its place.
type Kept struct {
	Entry
	CorrectedBy int // number of the entry; 0 where this one stands
}

// Item is how one finding stands.
type Item struct {
	Of      Reference // the finding in this judgement; of an orphan, as it was decided on
	State   State
	Current *Entry // what the state rests on; nil is nothing
	// Worse is set where the finding lies clearly further beyond its limit now than
	// when it was accepted: it is open again.
	Worse   bool
	History []Kept // all entries about it, oldest first, the current one too
}

// Book is what is on record about the findings of a judgement.
type Book struct {
	Findings []Item      // one a finding, in their order
	Events   []EventItem // the same findings by their causes
	// Orphans are decided findings that this judgement does not have (another
	// program version, or another job file); in the order of their first entries.
	// One whose entries were all corrected has no state: it was about another finding.
	Orphans    []Item
	Machinings []Kept // oldest first

	eventOf map[int]int // by the number of a finding
}

// Entries returns all entries in the order of their numbers.
func (b *Book) Entries() []Kept {
	all := slices.Clone(b.Machinings)
	for _, items := range [][]Item{b.Findings, b.Orphans} {
		for k := range items {
			all = append(all, items[k].History...)
		}
	}
	slices.SortFunc(all, func(x, y Kept) int { return cmp.Compare(x.Number, y.Number) })
	return slices.CompactFunc(all, func(x, y Kept) bool { return x.Number == y.Number })
}

// Open counts the findings that are open or to be repaired, orphans among them
// that a person has left so.
func (b *Book) Open() int {
	open := 0
	for _, items := range [][]Item{b.Findings, b.Orphans} {
		for k := range items {
			if items[k].State.IsOpen() {
				open++
			}
		}
	}
	return open
}

// Machining returns the latest final measurement that stands; nil is none.
func (b *Book) Machining() *Entry { return lastUncorrected(b.Machinings) }
