package join

import (
	"fmt"
	"slices"
	"time"

	"arctally/acquire/clock"
	"arctally/acquire/series"
)

// handEvent hands on an event that has its turn among what was measured.
func (j *Join) handEvent(b *box, x *item) error {
	e := x.event
	switch e.Kind {
	case series.Index:
		if j.owner != b {
			return nil
		}
		if err := j.follow(b, x, e.Count); err != nil {
			return err
		}
		e.Epoch, e.Tick, e.Until, e.Count = x.at.epoch, x.at.tick, x.at.tick, e.Count+j.base(b)
		return j.to.Event(e)
	case series.Offset:
		b.late, b.bounded = clock.Bounded(time.Duration(e.Count)), true
		return j.tellApart(b, x.at)
	default: // ClockRate
		b.fast = time.Duration(max(e.Count, -e.Count)) * time.Microsecond
		if err := j.mishap(b, x, x.at); err != nil {
			return err
		}
		return j.tellApart(b, x.at)
	}
}

// tellApart tells what is not known of the time between what a box tells and voltage and
// current, where that has changed; of box 0, of all the others.
func (j *Join) tellApart(b *box, at place) error {
	companions := []*box{b}
	if b.number == 0 {
		companions = j.boxes[1:]
	}
	own := j.boxes[0]
	for _, c := range companions {
		if own.inForce == 0 || c.inForce == 0 {
			continue
		}
		j.unbounded(own)
		j.unbounded(c)
		half := own.late.Apart(c.late) + own.fast + c.fast
		if half == c.apart {
			continue
		}
		c.apart = half
		basis := "as round trips bound it"
		if !own.bounded || !c.bounded {
			basis = "the least delay of a link that never answers is not known, and the worst stands in"
		}
		err := j.to.Event(series.Event{
			Kind: series.Offset, Box: c.number, Epoch: at.epoch, Tick: at.tick, Until: at.tick, Count: int64(half),
			Text: fmt.Sprintf("what %s measures is known to +-%.1f ms (k = 2) against voltage and current: %s", who(c, c.inForce), half.Seconds()*1e3, basis),
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// unbounded takes the worst of the line that a box speaks on, where no round trip has
// bounded it.
func (j *Join) unbounded(b *box) {
	if b.bounded {
		return
	}
	baud := j.baud(b.said[b.inForce-1].Port)
	if baud <= 0 {
		baud = series.DefaultBaud
	}
	b.late = clock.Unbounded(baud)
}

// mishaps hands on what happened to companions, where that has a place.
func (j *Join) mishaps() error {
	for _, b := range j.boxes[1:] {
		for h := b.events.head(); h != nil; h = b.events.head() {
			at, a := j.placeOf(b, h, j.haste)
			if a == wait {
				break
			}
			if a == never {
				at = place{max(0, j.firstEpoch()), 0}
			}
			x := *h
			b.events.take()
			if err := j.mishap(b, &x, at); err != nil {
				return err
			}
		}
	}
	return nil
}

// firstEpoch is that in which box 0 was first heard.
func (j *Join) firstEpoch() int {
	if s := j.boxes[0].fits.spans; len(s) > 0 {
		return s[0].epoch
	}
	return 0
}

// mishap hands on what happened to a companion: it is none of what box 0 says.
func (j *Join) mishap(b *box, x *item, at place) error {
	e := x.event
	lasted := e.Until - e.Tick
	if lasted < 0 || lasted > at.tick-minTick {
		lasted = 0
	}
	e.Epoch, e.Tick, e.Until = at.epoch, at.tick, plus(at.tick, lasted)
	e.Text = fmt.Sprintf("%s, %s: %s", who(b, x.said), e.Kind, e.Text)
	e.Kind = series.Companion
	return j.to.Event(e)
}

// remains tells of what was left over.
func (j *Join) remains() error {
	for _, b := range j.boxes {
		if b.lost == 0 {
			continue
		}
		at := place{j.firstEpoch(), 0}
		text := fmt.Sprintf("%d readings and counts of %s have no place: its clock, or that of the box that tells the arc, was never held against the host's; they are not used", b.lost, who(b, len(b.said)))
		if err := j.note(at, b, text); err != nil {
			return err
		}
	}
	return nil
}

// note makes a remark, once.
func (j *Join) note(at place, b *box, text string) error {
	if j.noted[text] {
		return nil
	}
	j.noted[text] = true
	return j.to.Event(series.Event{Kind: series.Companion, Box: b.number, Epoch: at.epoch, Tick: at.tick, Until: at.tick, Count: 1, Text: text})
}

// who names a box as it described itself.
func who(b *box, said int) string {
	if b.number == 0 {
		return "the box that tells the arc"
	}
	if said == 0 || b.said[said-1].Name == "" {
		return fmt.Sprintf("box %d", b.number)
	}
	return fmt.Sprintf("box %d (%s)", b.number, b.said[said-1].Name)
}

// describe hands on what all boxes say of themselves together, where that has changed.
func (j *Join) describe(at place) error {
	own := j.boxes[0]
	if own.inForce == 0 {
		return nil
	}
	merged := own.said[own.inForce-1]
	merged.Channels = slices.Clone(merged.Channels)
	j.owner = own
	var notes []func() error
	for _, b := range j.boxes[1:] {
		if b.inForce == 0 {
			continue
		}
		s := &b.said[b.inForce-1]
		if merged.CountsPerTurn == 0 && s.CountsPerTurn > 0 {
			merged.CountsPerTurn, merged.TurnBox, j.owner = s.CountsPerTurn, b.number, b
		}
		for _, text := range b.append(&merged) {
			notes = append(notes, func() error { return j.note(at, b, text) })
		}
	}
	if j.merged != nil && j.merged.Equal(merged) {
		return nil
	}
	j.merged = &merged
	if err := j.to.Source(merged); err != nil {
		return err
	}
	for _, n := range notes {
		if err := n(); err != nil {
			return err
		}
	}
	for _, b := range j.boxes[1:] {
		if err := j.tellApart(b, at); err != nil {
			return err
		}
	}
	return nil
}

// mostChannels is what a block can number.
const mostChannels = 256

// append adds the channels of a companion to a description, and returns what is to be
// said of those that it does not add.
func (b *box) append(merged *series.Source) (notes []string) {
	b.index = b.index[:0]
	name := who(b, b.inForce)
	for _, c := range b.said[b.inForce-1].Channels {
		taken := slices.ContainsFunc(merged.Channels, func(m series.Channel) bool { return m.Name == c.Name })
		switch {
		case c.Name == "voltage" || c.Name == "current":
			notes = append(notes, fmt.Sprintf("the %s of %s is recorded and not judged: another box tells the arc", c.Name, name))
		case taken:
			notes = append(notes, fmt.Sprintf("the %s of %s is recorded and not judged: a box before it measures it too", c.Name, name))
		case len(merged.Channels) >= mostChannels:
			notes = append(notes, fmt.Sprintf("the %s of %s is recorded and not judged: there are more than %d channels", c.Name, name, mostChannels))
		default:
			c.Box, c.Owner = b.number, b.said[b.inForce-1].Identity()
			b.index = append(b.index, len(merged.Channels))
			merged.Channels = append(merged.Channels, c)
			continue
		}
		b.index = append(b.index, -1)
	}
	return notes
}
