package live

import (
	"fmt"
	"slices"
	"time"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/now"
	"arctally/report/sheet"
)

// alarm brings the alarms of the arc up to date; findings are those that are new.
func (b *Board) alarm(s *now.Status, at time.Time) {
	b.latch.rest(ofArc)
	for k := range s.Deviations {
		b.deviates(s, &s.Deviations[k], at)
	}
	b.outside(s, at)
	for k := range b.fresh {
		b.found(s, &b.fresh[k], at)
	}
	b.fresh = nil
	b.list()
	if slices.ContainsFunc(b.Alarms, func(a Alarm) bool { return a.Now }) {
		b.Seen = nil // that all may be as it should be is said only where nothing is out
	}
}

// before is a time so long before another.
func before(at time.Time, by quantity.Seconds) time.Time {
	return at.Add(-time.Duration(by.Nanoseconds()))
}

// deviates takes what is out, or waits for the arc to come back.
func (b *Board) deviates(s *now.Status, d *finding.Open, at time.Time) {
	c := cause{string(d.Rule), d.Since.Epoch, d.Since.Tick}
	a := b.latch.find(c)
	if a == nil {
		if !d.Certain && float64(d.Lasted) < leastAlarm {
			return
		}
		a = b.latch.add(c, before(at, d.Lasted))
		b.locate(a, s, d.Place)
	}
	a.Now, a.open, a.Finding = !d.Paused, true, a.Finding || d.Certain
	a.Lasted, a.until = float64(d.Lasted), d.Since.Tick+d.Lasted.Nanoseconds()
	a.Value, a.Unit = sheet.Measured(d.Rule, d.Value)
	a.worst, _ = sheet.Measured(d.Rule, d.Worst)
	a.Limit, _ = sheet.Measured(d.Rule, d.Limit)
	a.Words, a.Sign = going(d), signOf(d.Worst-d.Limit)
	if d.Going() != "" {
		a.Sign = 0
	}
}

// locate says where an alarm began.
func (b *Board) locate(a *keptAlarm, s *now.Status, place *bore.Place) {
	if s.Pass != nil {
		a.Pass, a.Layer = counted(s.Pass.Number), counted(s.Pass.Layer)
		if s.Where != nil {
			a.Turn = counted(s.Where.Part)
		}
	}
	if place != nil {
		a.Angle, a.Depth = sheet.Known(float64(place.Angle)), sheet.In(&place.Depth, lengthUnit)
		a.AngleUncertainty = sheet.AngleUncertainty(place)
	}
}

// outside takes what stands outside of its limits and no deviation tells of: what is
// shown in red must be an alarm too.
func (b *Board) outside(s *now.Status, at time.Time) {
	was := b.out
	b.out = map[string]int64{}
	for k := range b.Channels {
		c := &b.Channels[k]
		if c.State != Outside || b.toldOf(s, c.Name) {
			continue
		}
		since, known := was[c.Name]
		if !known {
			since = s.Moment.Tick
		}
		b.out[c.Name] = since
		b.channelOut(s, c, since, at)
	}
}

// toldOf tells whether a deviation in progress tells of a channel: a rotation is out
// wherever the travel is.
func (b *Board) toldOf(s *now.Status, channel string) bool {
	if channel == "rotation" {
		channel = string(finding.TravelSpeed)
	}
	for k := range s.Deviations {
		if d := &s.Deviations[k]; string(d.Rule) == channel && !d.Paused {
			return true
		}
	}
	return false
}

// channelOut takes a channel that has been outside since a tick.
func (b *Board) channelOut(s *now.Status, c *Channel, since int64, at time.Time) {
	lasted := quantity.SecondsOf(s.Moment.Tick - since)
	key := cause{c.Name, s.Moment.Epoch, since}
	a := b.latch.find(key)
	if a == nil {
		if float64(lasted) < leastAlarm {
			return
		}
		a = b.latch.add(key, before(at, lasted))
		b.locate(a, s, nil)
	}
	limit := c.High
	if a.Sign = 1; c.Low != nil && *c.Value < *c.Low {
		a.Sign, limit = -1, c.Low
	}
	a.Now, a.open, a.Lasted, a.until = true, true, float64(lasted), s.Moment.Tick
	a.Value, a.Limit, a.Unit = c.Value, limit, c.Unit
	if a.worst == nil || float64(a.Sign)*(*c.Value-*a.worst) > 0 {
		a.worst = c.Value
	}
	a.Words = fmt.Sprintf("%s %s, limit %s %s", sheet.Spaced(c.Name), sheet.Digits(c.Value, decimals[c.Unit]), sheet.Digits(limit, decimals[c.Unit]), c.Unit)
}

// decimals are those of a value in words.
var decimals = map[string]int{"V": 1, wireUnit: 2, turnUnit: 2, gasUnit: 1}

// found takes a finding: what was out and was told, or what shows only afterwards.
func (b *Board) found(s *now.Status, f *finding.Finding, at time.Time) {
	from, until := f.Start.Tick, f.Start.Tick+f.Duration.Nanoseconds()
	a := b.latch.overlaps(string(f.Rule), f.Start.Epoch, from, until)
	if a == nil {
		began := at
		if f.Start.Epoch == s.Moment.Epoch {
			began = before(at, quantity.SecondsOf(s.Moment.Tick-from))
		}
		a = b.latch.add(cause{string(f.Rule), f.Start.Epoch, from}, began)
		a.Pass, a.Layer = counted(f.Pass), counted(f.Layer)
		if f.Place != nil {
			a.Angle, a.Depth = sheet.Known(float64(f.Place.Angle)), sheet.In(&f.Place.Depth, lengthUnit)
			a.AngleUncertainty = sheet.AngleUncertainty(f.Place)
		}
		a.Words, a.Sign = against(f.Rule, f.Worst, f.Limit), signOf(f.Beyond)
	}
	if a.Finding = true; a.open {
		return // the present value is shown
	}
	a.Lasted, a.until = float64(f.Duration), max(a.until, until)
	a.Value, a.Unit = sheet.Measured(f.Rule, f.Worst)
	a.Limit, _ = sheet.Measured(f.Rule, f.Limit)
	a.worst = a.Value
}

// signOf tells on which side of its limit a value lies.
func signOf(beyond float64) int {
	switch {
	case beyond < 0:
		return -1
	case beyond > 0:
		return 1
	default:
		return 0
	}
}
