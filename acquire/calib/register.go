package calib

import (
	"cmp"
	"slices"

	"arctally/acquire/series"
)

// Register is the calibrations of a record with those who speak in it.
type Register struct {
	All      []Timed // in the order of time
	Speakers Speakers
}

// Corrected returns a line of a channel of who speaks at a place of the record, with
// its calibration in force there behind it.
func (r Register) Corrected(l Line, ch series.Channel, epoch int, tick int64) Line {
	corrected, k := l, r.Speakers.At(epoch, tick)
	for i := range r.All {
		if c := &r.All[i]; c.HoldsAt(epoch, tick) && r.Speakers.corrects(c, ch, k) {
			corrected = l.Under(c.Calibration)
		}
	}
	return corrected
}

// InForce are the calibrations that hold at the end of the record, one for each
// channel of each box, with the box that each is bound to.
func (r Register) InForce() []Calibration {
	var held []Calibration
	for _, c := range sorted(r.All) {
		if !r.ofNoBox(&c) {
			c.Box = r.Speakers.BoxOf(&c, len(r.Speakers)-1)
		}
		held = slices.DeleteFunc(held, func(other Calibration) bool { return other.Channel == c.Channel && other.Box == c.Box })
		held = append(held, c.Calibration)
	}
	return held
}

// ofNoBox tells whether a calibration that names no box stays so: where no channel
// measures what it is of, or only sources that bound nothing speak.
func (r Register) ofNoBox(c *Timed) bool {
	return c.Box == "" && !slices.ContainsFunc(r.Speakers, func(s Speaker) bool {
		return s.Source.Port != "" && slices.ContainsFunc(s.Source.Channels, func(ch series.Channel) bool { return ch.Name == c.Channel })
	})
}

// sorted returns the calibrations by the place from which they hold.
func sorted(all []Timed) []Timed {
	return slices.SortedStableFunc(slices.Values(all), func(a, b Timed) int {
		return cmp.Or(cmp.Compare(a.Epoch, b.Epoch), cmp.Compare(a.Tick, b.Tick))
	})
}
