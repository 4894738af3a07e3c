package live

import (
	"time"

	"arctally/acquire/series"
)

// companionSilentAfter is how long a box beside the one that tells the arc may say
// nothing: twice the time between two descriptions (sensor-link.md, HELLO).
const companionSilentAfter = 10 * time.Second

// Box is one of the sensor boxes of a recording.
type Box struct {
	Box    int     `json:"box"` // 0 tells the arc
	Name   *string `json:"name"`
	Serial *string `json:"serial"`
	Link   Link    `json:"link"`
}

// Boxes is how well each sensor box of a recording is heard.
type Boxes struct {
	rows []*boxRow // in the order of the job
}

// boxRow is one of them.
type boxRow struct {
	number  int // -1 is taken by another one, and not yet given anew
	source  series.Source
	hearing Hearing
}

// NewBoxes listens to ports from now on, to each under the number that its box has.
func NewBoxes(ports []string, numbers []int, now func() time.Time) *Boxes {
	b := &Boxes{}
	for k, port := range ports {
		b.rows = append(b.rows, &boxRow{number: numbers[k], hearing: NewHearing(port, now)})
	}
	return b
}

// row returns that of a number, nil where it is not known.
func (b *Boxes) row(number int) *boxRow {
	for _, r := range b.rows {
		if r.number == number {
			return r
		}
	}
	return nil
}

// Begin counts the silence from now on: the ports have been opened.
func (b *Boxes) Begin() {
	for _, r := range b.rows {
		r.hearing.Begin()
	}
}

// Source takes what a box says of itself; one may have got another number, which is
// known by its port.
func (b *Boxes) Source(s series.Source) {
	r := b.row(s.Box)
	if r == nil || s.Port != "" && r.hearing.Port != s.Port {
		if own := b.on(s.Port); own != nil {
			if r != nil {
				r.number = -1
			}
			r = own
		}
	}
	if r != nil {
		r.number, r.source = s.Box, s
	}
}

// on returns the row of a port.
func (b *Boxes) on(port string) *boxRow {
	for _, r := range b.rows {
		if r.hearing.Port == port {
			return r
		}
	}
	return nil
}

// Block counts samples of a box.
func (b *Boxes) Block(block *series.Block) {
	if r := b.row(block.Box); r != nil {
		r.hearing.Block(block)
	}
}

// Event takes what happened to the line of a box.
func (b *Boxes) Event(e series.Event) {
	if r := b.row(e.Box); r != nil {
		r.hearing.Event(e)
	}
}

// Account takes what has come of a box by now.
func (b *Boxes) Account(number int, t Received) {
	if r := b.row(number); r != nil {
		r.hearing.Account(t)
	}
}

// Arc says how the box that tells the arc is heard.
func (b *Boxes) Arc() Link {
	r := b.row(0)
	if r == nil {
		return Link{State: LinkSilent, Words: "no box tells the arc"}
	}
	return r.hearing.Link()
}

// List says how all of them are heard.
func (b *Boxes) List() []Box {
	list := make([]Box, len(b.rows))
	for k, r := range b.rows {
		list[k] = Box{Box: r.number, Name: said(r.source.Name), Serial: said(r.source.Serial)}
		if r.number == 0 {
			list[k].Link = r.hearing.Link()
		} else {
			list[k].Link = r.hearing.companion()
		}
	}
	return list
}

// said is a text, nil where there is none.
func said(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}
