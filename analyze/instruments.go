package analyze

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// instruments are the calibrations of a record, each in force from its place on, and
// the lines that they give the channels of the source.
type instruments struct {
	periods  []period // by the place from which they hold; there is always one
	source   series.Source
	speakers calib.Speakers // the source is the last of them
	heard    []pass.Moment  // where the first block of each stands
	// slow tells what becomes of the readings of a channel.
	slow func(series.Channel, calib.Line) slowChannel
}

// period is a time of the record under the same calibrations, up to the next period.
type period struct {
	from         pass.Moment
	calibrations []calib.Timed // that have begun, in the order of time
	voltage      calib.Line
	current      calib.Line
	slow         []slowChannel
}

// holding is where a period holds on the clock of one epoch: [from, until).
type holding struct {
	*period
	from, until int64
}

// newInstruments returns the calibrations that hold from the beginning.
func newInstruments(calibrations []calib.Calibration, slow func(series.Channel, calib.Line) slowChannel) instruments {
	first := period{from: pass.Moment{Epoch: math.MinInt, Tick: minTick}}
	for _, c := range calibrations {
		first.calibrations = append(first.calibrations, calib.Timed{Calibration: c})
	}
	return instruments{periods: []period{first}, slow: slow}
}

// speaks tells who speaks from a place on, and where his first block stands.
func (i *instruments) speaks(s series.Source, from, heard pass.Moment) {
	if n := len(i.speakers); n > 0 && i.speakers[n-1].Source.Equal(s) {
		return // as where a record is gone on with: the same box, of which nothing changed
	}
	i.source = s
	i.speakers = append(i.speakers, calib.Speaker{Epoch: from.Epoch, Tick: from.Tick, Source: s})
	i.heard = append(i.heard, heard)
	i.describe()
}

// Calibrate says that a calibration holds from a place of the record on: what
// was measured before it stays as it was, and the passes that begin after it
// take its uncertainty. It must come before the samples that it holds for.
func (r *Run) Calibrate(c calib.Calibration, epoch int, tick int64) {
	r.instruments.calibrate(c, pass.Moment{Epoch: epoch, Tick: tick})
}

// calibrate puts a calibration where it begins to hold.
func (i *instruments) calibrate(c calib.Calibration, from pass.Moment) {
	k := i.periodAt(from) + 1
	timed := calib.Timed{Calibration: c, Epoch: from.Epoch, Tick: from.Tick}
	next := period{from: from, calibrations: append(slices.Clip(i.periods[k-1].calibrations), timed)}
	i.periods = slices.Insert(i.periods, k, next)
	for later := k + 1; later < len(i.periods); later++ { // one of another channel goes on holding
		i.periods[later].calibrations = slices.Insert(slices.Clone(i.periods[later].calibrations), len(next.calibrations)-1, timed)
	}
	if i.source.Channels == nil {
		return
	}
	i.describe()
}

// after tells whether the period begins after a place.
func (p *period) after(at pass.Moment) bool {
	return p.from.Epoch > at.Epoch || p.from.Epoch == at.Epoch && p.from.Tick > at.Tick
}

// periodAt returns the number of the period of a place.
func (i *instruments) periodAt(at pass.Moment) int {
	k := len(i.periods) - 1
	for k > 0 && i.periods[k].after(at) {
		k--
	}
	return k
}

// holdingAt returns the period of a tick, and from when until when it holds in the
// epoch.
func (i *instruments) holdingAt(epoch int, tick int64) holding {
	k := i.periodAt(pass.Moment{Epoch: epoch, Tick: tick})
	h := holding{&i.periods[k], minTick, maxTick}
	if h.period.from.Epoch == epoch {
		h.from = h.period.from.Tick
	}
	if k+1 < len(i.periods) && i.periods[k+1].from.Epoch == epoch {
		h.until = i.periods[k+1].from.Tick
	}
	return h
}

// inForce are the calibrations that hold at a place for who speaks there, in the order
// of time.
func (i *instruments) inForce(at pass.Moment) []calib.Calibration {
	return i.speakers.Of(i.periods[i.periodAt(at)].calibrations, i.speakers.At(at.Epoch, at.Tick))
}

// doubtAt returns what is known of the instruments at a place.
func (i *instruments) doubtAt(at pass.Moment) heat.Doubt {
	d := heat.DoubtOf(i.inForce(at))
	d.Voltage.Elsewhere, d.Current.Elsewhere = i.elsewhere(heat.Voltage, at), i.elsewhere(heat.Current, at)
	return d
}

// elsewhere says of which boxes the calibrations of a channel are where none of them
// holds for who speaks; it is empty where one holds, or there is none.
func (i *instruments) elsewhere(channel string, at pass.Moment) string {
	k := i.speakers.At(at.Epoch, at.Tick)
	if k < 0 {
		return ""
	}
	var others []string
	for _, c := range i.periods[i.periodAt(at)].calibrations {
		switch box := i.speakers.BoxOf(&c, k); {
		case c.Channel != channel:
		case i.speakers.Holds(&c, k):
			return ""
		case !slices.Contains(others, series.Who(box)):
			others = append(others, series.Who(box))
		}
	}
	if others == nil {
		return ""
	}
	own := i.speakers[k].Source.BoxOf(channel)
	return fmt.Sprintf("the calibration of %s is that of %s, and %s measured", channel, strings.Join(others, " and "), series.Who(own))
}

// doubt is what is known of the instruments of who speaks last, from here on.
func (i *instruments) doubt() heat.Doubt {
	last := i.speakers[len(i.speakers)-1]
	return i.doubtAt(pass.Moment{Epoch: last.Epoch, Tick: last.Tick})
}

// describe works out the lines of the source's channels in every period.
func (i *instruments) describe() {
	for k := range i.periods {
		p := &i.periods[k]
		p.voltage = i.lineOf(p, i.source.Channels[series.VoltageChannel])
		p.current = i.lineOf(p, i.source.Channels[series.CurrentChannel])
		p.slow = p.slow[:0]
		for _, c := range i.source.Channels {
			p.slow = append(p.slow, i.slow(c, i.speakers.Under(calib.InUnit(), c, p.calibrations, len(i.speakers)-1)))
		}
	}
}

// lineOf joins the line of a channel with that of its calibration in force.
func (i *instruments) lineOf(p *period, c series.Channel) calib.Line {
	return i.speakers.Under(calib.LineOf(c), c, p.calibrations, len(i.speakers)-1)
}

// wireDoubt returns the relative standard uncertainty of the wire by all
// calibrations of it that ever held, 0 where there is none: the map of the wall
// covers the whole record. Where a box measured the wire that none of them is of,
// there is none for all of it.
func (i *instruments) wireDoubt() quantity.Ratio {
	doubt := 0.0
	calibrations := i.periods[len(i.periods)-1].calibrations
	for k := range max(1, len(i.speakers)) {
		any := false
		for c := range calibrations {
			own := &calibrations[c]
			if (own.Channel == "wire_speed" || own.Channel == "wire_length") && i.speakers.Holds(own, min(k, len(i.speakers)-1)) {
				doubt, any = max(doubt, own.Relative), true
			}
		}
		if !any {
			return 0
		}
	}
	return quantity.Ratio(doubt)
}

// known tells whether the uncertainty of a channel is known at a place.
func (i *instruments) known(channel string, at pass.Moment) bool {
	for _, c := range slices.Backward(i.inForce(at)) {
		if c.Channel == channel {
			return c.Relative > 0
		}
	}
	return false
}
