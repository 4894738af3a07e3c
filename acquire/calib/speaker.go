package calib

import (
	"slices"

	"arctally/acquire/series"
)

// Speaker is a source and the place of the record from which it speaks.
type Speaker struct {
	Epoch  int
	Tick   int64 // ns
	Source series.Source
}

// Speakers are all who speak in a record, in the order of time.
type Speakers []Speaker

// At is the place in the list of who speaks at a place of the record: of the last
// who began there or before, else of the first; -1 where nobody ever spoke.
func (s Speakers) At(epoch int, tick int64) int {
	k := len(s) - 1
	for k > 0 && !begins(s[k].Epoch, s[k].Tick, epoch, tick) {
		k--
	}
	return k
}

// begins tells whether what begins at one place has begun at another.
func begins(fromEpoch int, from int64, epoch int, tick int64) bool {
	return fromEpoch < epoch || fromEpoch == epoch && from <= tick
}

// BoxOf is the box that a calibration is bound to, by those who have spoken up to and
// including number k: the one that it names; else, of those that have the channel, the
// last that spoke before it, or the first after it. It is empty until one of them has
// said who he is.
func (s Speakers) BoxOf(c *Timed, k int) string {
	if c.Box != "" {
		return c.Box
	}
	box := ""
	for i := range s[:k+1] {
		own := s[i].Source.BoxOf(c.Channel)
		began := c.Tick != 0 || c.Epoch != 0 // else it was there before anybody spoke
		if series.IsNamed(own) && (box == "" || began && !begins(c.Epoch, c.Tick, s[i].Epoch, s[i].Tick)) {
			box = own
		}
	}
	return box
}

// Holds tells whether a calibration that has begun holds for its channel as number k
// measures it. Nothing that is bound to one box ever holds for another.
//
// A calibration that names no box is bound by BoxOf. What no channel measures, as the
// travel of a machine that is timed, is of no box. A source without a port comes from
// a capture, or from a program that bound nothing to a box: there, what names no box
// holds as it did then.
func (s Speakers) Holds(c *Timed, k int) bool {
	if k < 0 {
		return c.Box == ""
	}
	channels := s[k].Source.Channels
	ch := slices.IndexFunc(channels, func(ch series.Channel) bool { return ch.Name == c.Channel })
	return ch < 0 || s.holdsFor(c, channels[ch], k)
}

// holdsFor is Holds for one of several channels that may have one name.
func (s Speakers) holdsFor(c *Timed, ch series.Channel, k int) bool {
	if k < 0 {
		return c.Box == ""
	}
	if c.Box == "" && s[k].Source.Port == "" {
		return true
	}
	own, bound := s[k].Source.OwnerOf(ch), s.BoxOf(c, k)
	if bound == "" { // nobody has said yet who he is: there is no other box
		return own == "" || own == series.Undescribed
	}
	return bound == own
}

// Under returns a line of a channel of number k with its calibration behind it: the
// last one in a list of those that have begun that holds for its box and has a gain.
func (s Speakers) Under(l Line, ch series.Channel, by []Timed, k int) Line {
	corrected := l
	for i := range by {
		if c := &by[i]; s.corrects(c, ch, k) {
			corrected = l.Under(c.Calibration)
		}
	}
	return corrected
}

// corrects tells whether a calibration that has begun corrects a channel of number k.
func (s Speakers) corrects(c *Timed, ch series.Channel, k int) bool {
	return c.Channel == ch.Name && c.Gain != 0 && s.holdsFor(c, ch, k)
}

// Of are the calibrations of a list that hold as number k measures their channels, in
// the order of the list.
func (s Speakers) Of(all []Timed, k int) []Calibration {
	var held []Calibration
	for i := range all {
		if s.Holds(&all[i], k) {
			held = append(held, all[i].Calibration)
		}
	}
	return held
}
