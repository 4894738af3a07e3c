package inspect

import (
	"math"

	"arctally/analyze/event"
	"arctally/analyze/finding"
)

// clearly is by how much a finding may lie further beyond its limit than when it
// was accepted: another version of the program may compute a last digit
// differently. Ours; common practice, no source.
const clearly = 0.1

// key is what a finding is found again by.
type key struct {
	rule  finding.Rule
	epoch int
	tick  int64
}

func (r *Reference) key() key { return key{r.Rule, r.Epoch, r.TickNS} }

// beyond is how far the finding lay out of its limit.
func (r *Reference) beyond() float64 { return math.Abs(r.Worst - r.Limit) }

// Fold lays entries, in the order of their numbers, over the findings of a
// judgement. Of the entries about one finding the last one counts that no other
// one took the place of.
func Fold(entries []Entry, findings []finding.Finding) Book {
	var b Book
	threads, order := map[key][]Kept{}, []key(nil)
	corrected := corrections(entries)
	for _, e := range entries {
		kept := Kept{Entry: e, CorrectedBy: corrected[e.Number]}
		switch e.Kind() {
		case OfMachining:
			b.Machinings = append(b.Machinings, kept)
		case OfFinding:
			k := e.Disposition.Of.key()
			if threads[k] == nil {
				order = append(order, k)
			}
			threads[k] = append(threads[k], kept)
		}
	}
	found := make(map[key]bool, len(findings))
	for n := range findings {
		of := Refer(&findings[n])
		found[of.key()] = true
		b.Findings = append(b.Findings, itemOf(of, threads[of.key()]))
	}
	b.foldEvents(event.Group(findings))
	for _, k := range order {
		if !found[k] {
			b.Orphans = append(b.Orphans, orphanOf(threads[k]))
		}
	}
	return b
}

// foldEvents takes the items together by event.
func (b *Book) foldEvents(events []event.Event) {
	items := make(map[int]*Item, len(b.Findings))
	for k := range b.Findings {
		items[b.Findings[k].Of.Number] = &b.Findings[k]
	}
	b.eventOf = make(map[int]int, len(b.Findings))
	for _, e := range events {
		b.Events = append(b.Events, eventItem(e, items))
		for _, number := range e.Findings {
			b.eventOf[number] = e.Number
		}
	}
}

// corrections returns which entry took the place of which.
func corrections(entries []Entry) map[int]int {
	by := map[int]int{}
	for _, e := range entries {
		if e.Corrects > 0 && e.Corrects < e.Number {
			by[e.Corrects] = e.Number
		}
	}
	return by
}

// lastUncorrected returns the last entry that no other one took the place of.
func lastUncorrected(history []Kept) *Entry {
	for k := len(history) - 1; k >= 0; k-- {
		if history[k].CorrectedBy == 0 {
			return &history[k].Entry
		}
	}
	return nil
}

func itemOf(of Reference, history []Kept) Item {
	item := Item{Of: of, State: Open, Current: lastUncorrected(history), History: history}
	if item.Current == nil {
		return item
	}
	d := item.Current.Disposition
	item.State = d.Decision.state()
	if item.State == Accepted && of.beyond() > d.Of.beyond()*(1+clearly) {
		item.Worse, item.State = true, Open
	}
	return item
}

// orphanOf is what was decided about a finding that is not there any more. One
// whose entries were all corrected asks nothing of anybody: it was about another
// finding.
func orphanOf(history []Kept) Item {
	item := Item{Of: history[0].Disposition.Of, Current: lastUncorrected(history), History: history}
	if item.Current != nil {
		item.Of = item.Current.Disposition.Of
		item.State = item.Current.Disposition.Decision.state()
	}
	return item
}

// state is how a finding stands once that was decided.
func (d Decision) state() State {
	switch d {
	case Accept:
		return Accepted
	case MachinedAway:
		return Removed
	case Repair:
		return ToRepair
	default:
		return Open
	}
}
