package live

import (
	"time"

	"arctally/report/sheet"
)

// Hear says how the boxes are heard at a time of the host. Where nothing comes from the one
// that tells the arc, nothing of the arc is known any more: what was last known is held.
func (b *Board) Hear(arc Link, boxes []Box, at time.Time) {
	b.Link, b.Boxes = arc, boxes
	b.At, b.Zone = sheet.Timestamp(at), zoneOf(at)
	b.latch.rest(ofBox)
	for len(b.badly) < len(boxes) {
		b.badly = append(b.badly, nil)
	}
	for k := range boxes {
		b.hear(k, at)
	}
	if !b.heard() {
		b.deafen()
	}
	b.waits()
	b.list()
}

// heard tells whether the box that tells the arc is heard.
func (b *Board) heard() bool { return b.Link.State != LinkSilent && b.Link.State != LinkUnplugged }

// list tells the page of the alarms that there are.
func (b *Board) list() {
	b.latch.settle()
	b.Alarms, b.AlarmsMore = b.latch.list()
}

// hear takes how one box is heard. A state is one alarm for as long as it lasts.
func (b *Board) hear(k int, at time.Time) {
	box, a := &b.Boxes[k], b.badly[k]
	if box.Link.State == LinkGood {
		b.badly[k] = nil
		return
	}
	if a == nil || a.state != box.Link.State {
		began := at
		if silent := box.Link.Silent; silent != nil && box.Link.State == LinkSilent {
			began = at.Add(-time.Duration(*silent * float64(time.Second)))
		}
		a = b.latch.add(cause{linkRule, k, began.UnixNano()}, began)
		a.state, b.badly[k] = box.Link.State, a
		if p := b.Pass; p != nil {
			a.Pass, a.Layer = counted(p.Number), p.Layer
		}
	}
	a.Now, a.open = true, true
	a.Lasted = at.Sub(time.Unix(0, a.cause.since)).Seconds()
	a.Words = b.named(box) + box.Link.Words
	if k == 0 && !b.heard() {
		a.Words += b.lastWords()
	}
}

// named is the box that something is said of, where there are several.
func (b *Board) named(box *Box) string {
	switch {
	case len(b.Boxes) < 2:
		return ""
	case box.Name != nil:
		return *box.Name + ": "
	default:
		return box.Link.Port + ": "
	}
}

// lastWords are the last voltage and current that were known.
func (b *Board) lastWords() string {
	words := ""
	for k := range b.newest.Channels {
		if c := &b.newest.Channels[k]; c.Value != nil && (c.Unit == "V" || c.Unit == "A") {
			words += " " + sheet.Digits(c.Value, decimals[c.Unit]) + " " + c.Unit
		}
	}
	if words == "" {
		return ""
	}
	return "; last known:" + words
}

// deafen takes away all that would be an old value in the place of a present one.
func (b *Board) deafen() {
	b.ArcOn, b.InGap, b.Steady, b.Raw, b.Place, b.Seen = false, false, nil, nil, nil, nil
	b.Deviations = []Deviation{}
	b.latch.rest(ofArc)
	b.Channels = unknown(b.Channels)
	if b.Pass != nil {
		p := *b.Pass
		p.Forecast, b.Pass = nil, &p
	}
	b.hold(nil)
}

// End says that the recording has ended: nothing is present any more.
func (b *Board) End(at time.Time) {
	b.Phase, b.At, b.Zone, b.Ending = Ended, sheet.Timestamp(at), zoneOf(at), nil
	b.deafen()
	b.Pass = nil
	b.latch.rest(ofBox)
	b.list()
}

// unknown are channels of which nothing is known at present.
func unknown(channels []Channel) []Channel {
	blank := make([]Channel, len(channels))
	for k, c := range channels {
		c.Value, c.Basis, c.State = nil, nil, NotJudged
		blank[k] = c
	}
	return blank
}

// zoneOf is the time zone of a time.
func zoneOf(at time.Time) Zone {
	name, offset := at.Zone()
	words := at.Format("UTC-07:00")
	switch {
	case name == "UTC":
		words = name
	case name != "" && name[0] != '+' && name[0] != '-':
		words = name + ", " + words
	}
	return Zone{Words: words, Offset: offset}
}
