package inspect

import (
	"slices"

	"arctally/analyze/event"
)

// How an event stands whose findings do not all stand alike.
const (
	PartlyDecided State = "partly decided" // of some findings nobody has decided yet: it is open
	Decided       State = "decided"        // on all of them, on some otherwise than on others
)

// EventItem is how one event stands: as its findings do.
type EventItem struct {
	event.Event
	State State
	Open  int // findings for which somebody has still to do something
}

// eventItem is the item of an event, of the items of its findings. A decision is about a finding,
// so that what was decided before there were events counts as it did.
func eventItem(e event.Event, items map[int]*Item) EventItem {
	item := EventItem{Event: e, State: items[e.Findings[0]].State}
	for _, number := range e.Findings {
		state := items[number].State
		if state.IsOpen() {
			item.Open++
		}
		switch {
		case state == item.State || item.State == PartlyDecided:
		case state == Open || item.State == Open:
			item.State = PartlyDecided
		case state == ToRepair || item.State == ToRepair:
			item.State = ToRepair
		default:
			item.State = Decided
		}
	}
	return item
}

// OpenEvents counts the events of which a finding is open or to be repaired.
func (b *Book) OpenEvents() (open int) {
	for k := range b.Events {
		if b.Events[k].State.IsOpen() {
			open++
		}
	}
	return open
}

// Event returns the event with a number, nil where there is none.
func (b *Book) Event(number int) *EventItem {
	k := slices.IndexFunc(b.Events, func(e EventItem) bool { return e.Number == number })
	if k < 0 {
		return nil
	}
	return &b.Events[k]
}

// EventOf returns the event that a finding belongs to.
func (b *Book) EventOf(finding int) *EventItem { return b.Event(b.eventOf[finding]) }

// ofEvent are the items of the findings of an event.
func (b *Book) ofEvent(e *EventItem) (items []*Item) {
	for k := range b.Findings {
		if b.eventOf[b.Findings[k].Of.Number] == e.Number {
			items = append(items, &b.Findings[k])
		}
	}
	return items
}

// Decide makes the entries by which a person decides on an event as one: one about each of its findings,
// with the same words. Of is what is decided, but for the finding. Where it corrects an entry, each
// of the new ones takes the place of that entry about its finding which was of the same act; a finding that
// the act was not about, or whose entry was corrected since, gets an entry that corrects none.
func (b *Book) Decide(e *EventItem, of Entry) (act []Entry, err error) {
	items := b.ofEvent(e)
	var corrected *Entry
	for _, item := range items {
		for k := range item.History {
			if of.Corrects > 0 && item.History[k].Number == of.Corrects {
				corrected = &item.History[k].Entry
			}
		}
	}
	if of.Corrects > 0 && corrected == nil {
		return nil, fail("corrects", "look at the entries first", "there is no entry %d about event %d", of.Corrects, e.Number)
	}
	for _, item := range items {
		one, d := of, *of.Disposition
		d.Of, one.Disposition, one.Corrects = item.Of, &d, 0
		for k := range item.History {
			if old := &item.History[k]; corrected != nil && old.SameAct(corrected) && (old.CorrectedBy == 0 || old.Number == of.Corrects) {
				one.Corrects = old.Number
			}
		}
		act = append(act, one)
	}
	return act, nil
}

// SameAct reports whether two entries were put on record in one act: by one person at one time, with
// the same words about different findings, or about one.
func (e *Entry) SameAct(o *Entry) bool {
	if e.Disposition == nil || o.Disposition == nil {
		return e == o
	}
	d, other := *e.Disposition, *o.Disposition
	return e.By == o.By && e.At.Equal(o.At) && d.Method == other.Method && d.Result == other.Result && d.Decision == other.Decision && d.Remark == other.Remark &&
		slices.Equal(e.Photographs, o.Photographs)
}
