package analyze

import (
	"fmt"
	"math"
	"slices"

	"arctally/acquire/calib"
	"arctally/acquire/series"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// era is a stretch of the record under the same calibrations, up to the next era.
type era struct {
	from    pass.Moment
	calib   []calib.Calibration // in the order of time, the one in force last
	voltage calib.Line
	current calib.Line
	slow    []slowChannel
}

// span is where an era holds on the clock of one epoch: [from, until).
type span struct {
	*era
	from, until int64
}

// Calibrate says that a calibration holds from a place of the record on: what
// was measured before it stays as it was, and the passes that begin after it
// take its uncertainty. It must come before the samples that it holds for.
func (r *Run) Calibrate(c calib.Calibration, epoch int, tick int64) {
	from := pass.Moment{Epoch: epoch, Tick: tick}
	k := len(r.eras)
	for k > 1 && holdsAt(&r.eras[k-1], from) < 0 {
		k--
	}
	next := era{from: from, calib: append(slices.Clip(r.eras[k-1].calib), c)}
	r.eras = slices.Insert(r.eras, k, next)
	for later := k + 1; later < len(r.eras); later++ { // one of another channel goes on holding
		r.eras[later].calib = slices.Insert(slices.Clone(r.eras[later].calib), len(next.calib)-1, c)
	}
	if r.source.Channels == nil {
		return
	}
	if err := r.describe(); err != nil {
		panic("analyze: channels that were accepted are refused: " + err.Error())
	}
}

// holdsAt is negative where the era begins after the place.
func holdsAt(e *era, at pass.Moment) int {
	if e.from.Epoch > at.Epoch || e.from.Epoch == at.Epoch && e.from.Tick > at.Tick {
		return -1
	}
	return 1
}

// eraAt returns the number of the era of a place.
func (r *Run) eraAt(at pass.Moment) int {
	k := len(r.eras) - 1
	for k > 0 && holdsAt(&r.eras[k], at) < 0 {
		k--
	}
	return k
}

// spanAt returns the era of a tick, and from when until when it holds in the epoch.
func (r *Run) spanAt(epoch int, tick int64) span {
	k := r.eraAt(pass.Moment{Epoch: epoch, Tick: tick})
	s := span{&r.eras[k], minTick, maxTick}
	if s.era.from.Epoch == epoch {
		s.from = s.era.from.Tick
	}
	if k+1 < len(r.eras) && r.eras[k+1].from.Epoch == epoch {
		s.until = r.eras[k+1].from.Tick
	}
	return s
}

// begun is the era of everything before the first calibration with a place.
func begun(calibrations []calib.Calibration) era {
	return era{from: pass.Moment{Epoch: math.MinInt, Tick: minTick}, calib: calibrations}
}

// doubtAt returns what is known of the instruments at a place.
func (r *Run) doubtAt(at pass.Moment) heat.Doubt { return heat.DoubtOf(r.eras[r.eraAt(at)].calib) }

// describe works out the lines of the source's channels in every era.
func (r *Run) describe() error {
	for k := range r.eras {
		e := &r.eras[k]
		e.voltage = e.lineOf(r.source.Channels[series.VoltageChannel])
		e.current = e.lineOf(r.source.Channels[series.CurrentChannel])
		e.slow = e.slow[:0]
		for _, c := range r.source.Channels {
			use, err := slowUse(c, calib.InUnit().Corrected(c.Name, e.calib))
			if err != nil {
				return fmt.Errorf("source %q: %w", r.source.Name, err)
			}
			e.slow = append(e.slow, use)
		}
	}
	return nil
}

// lineOf joins the line of a channel with that of its calibration in force.
func (e *era) lineOf(c series.Channel) calib.Line {
	return calib.LineOf(c).Corrected(c.Name, e.calib)
}

// known tells whether the uncertainty of a channel is known at a place.
func (r *Run) known(channel string, at pass.Moment) bool {
	for _, c := range slices.Backward(r.eras[r.eraAt(at)].calib) {
		if c.Channel == channel {
			return c.Relative > 0
		}
	}
	return false
}
