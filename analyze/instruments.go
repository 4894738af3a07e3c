package analyze

import (
	"math"
	"slices"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// instruments are the calibrations of a record, each in force from its place on, and
// the lines that they give the channels of the source.
type instruments struct {
	periods []period // by the place from which they hold; there is always one
	source  series.Source
	// slow tells what becomes of the readings of a channel.
	slow func(series.Channel, calib.Line) slowChannel
}

// period is a time of the record under the same calibrations, up to the next period.
type period struct {
	from         pass.Moment
	calibrations []calib.Calibration // in the order of time, the one in force last
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
	first := period{from: pass.Moment{Epoch: math.MinInt, Tick: minTick}, calibrations: calibrations}
	return instruments{periods: []period{first}, slow: slow}
}

// speaks tells who speaks from here on.
func (i *instruments) speaks(s series.Source) {
	i.source = s
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
	next := period{from: from, calibrations: append(slices.Clip(i.periods[k-1].calibrations), c)}
	i.periods = slices.Insert(i.periods, k, next)
	for later := k + 1; later < len(i.periods); later++ { // one of another channel goes on holding
		i.periods[later].calibrations = slices.Insert(slices.Clone(i.periods[later].calibrations), len(next.calibrations)-1, c)
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

// doubtAt returns what is known of the instruments at a place.
func (i *instruments) doubtAt(at pass.Moment) heat.Doubt {
	return heat.DoubtOf(i.periods[i.periodAt(at)].calibrations)
}

// describe works out the lines of the source's channels in every period.
func (i *instruments) describe() {
	for k := range i.periods {
		p := &i.periods[k]
		p.voltage = p.lineOf(i.source.Channels[series.VoltageChannel])
		p.current = p.lineOf(i.source.Channels[series.CurrentChannel])
		p.slow = p.slow[:0]
		for _, c := range i.source.Channels {
			p.slow = append(p.slow, i.slow(c, calib.InUnit().Corrected(c.Name, p.calibrations)))
		}
	}
}

// lineOf joins the line of a channel with that of its calibration in force.
func (p *period) lineOf(c series.Channel) calib.Line {
	return calib.LineOf(c).Corrected(c.Name, p.calibrations)
}

// wireDoubt returns the relative standard uncertainty of the wire by all
// calibrations of it that ever held, 0 where there is none: the map of the wall
// covers the whole record.
func (i *instruments) wireDoubt() quantity.Ratio {
	doubt := 0.0
	for _, c := range i.periods[len(i.periods)-1].calibrations {
		if c.Channel == "wire_speed" || c.Channel == "wire_length" {
			doubt = max(doubt, c.Relative)
		}
	}
	return quantity.Ratio(doubt)
}

// known tells whether the uncertainty of a channel is known at a place.
func (i *instruments) known(channel string, at pass.Moment) bool {
	for _, c := range slices.Backward(i.periods[i.periodAt(at)].calibrations) {
		if c.Channel == channel {
			return c.Relative > 0
		}
	}
	return false
}
