package pass

import (
	"arctally/acquire/series"
	"arctally/analyze/heat"
)

// instruments are what is known of those that a pass rests on.
type instruments struct {
	doubt        heat.Doubt // of the pass that is open
	at           func(Moment) heat.Doubt
	said         heat.Signals    // by the job
	spoken       heat.Signals    // by the job and the source that speaks
	signals      heat.Signals    // by all that spoke in the pass that is open
	seen         map[int]float64 // share by which the clock of an epoch was seen to be off
	epoch        int             // of the pass that is open
	assumed      bool            // the source has not described itself yet
	voltageScale float64         // V in one code
	currentScale float64         // A in one code
	unprotected  bool            // the link of the source that speaks is
	ever         bool            // that of any that spoke in the pass that is open was
}

// source says who speaks from now on. Where another one spoke in the pass that is open,
// what holds of it is what both of them say; one that was only assumed is the same box.
func (i *instruments) source(src series.Source) {
	i.spoken = i.said.Or(heat.SignalsOf(src))
	if i.assumed {
		i.signals = i.spoken
	} else {
		i.signals = i.signals.Worse(i.spoken)
	}
	i.signals.ClockSeen = i.seen[i.epoch]
	i.assumed = src.Assumed
	// A capture came as a file, on the way of which nothing was changed or lost.
	i.unprotected = src.Unprotected && src.Link != "capture"
	i.ever = i.ever || i.unprotected
	i.voltageScale, i.currentScale = 0, 0
	if len(src.Channels) > series.CurrentChannel {
		i.voltageScale, i.currentScale = src.Channels[series.VoltageChannel].Scale, src.Channels[series.CurrentChannel].Scale
	}
}

// begin takes what is known where a pass begins.
func (i *instruments) begin(at Moment) {
	i.signals, i.ever, i.epoch = i.spoken, i.unprotected, at.Epoch
	i.signals.ClockSeen = i.seen[at.Epoch]
	if i.at != nil {
		i.doubt = i.at(at)
	}
}

// clockSeen takes by how much the clock of an epoch was seen to be off.
func (i *instruments) clockSeen(epoch int, share float64) {
	if i.seen == nil {
		i.seen = map[int]float64{}
	}
	i.seen[epoch] = share
}
