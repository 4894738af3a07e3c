package pass

import (
	"arctally/acquire/series"
	"arctally/analyze/heat"
)

// instruments are what is known of those that a pass rests on.
type instruments struct {
	doubt        heat.Doubt // of the pass that is open
	at           func(Moment) heat.Doubt
	voltageScale float64 // V in one code
	currentScale float64 // A in one code
}

// source says who speaks from now on.
func (i *instruments) source(src series.Source) {
	i.voltageScale, i.currentScale = 0, 0
	if len(src.Channels) > series.CurrentChannel {
		i.voltageScale, i.currentScale = src.Channels[series.VoltageChannel].Scale, src.Channels[series.CurrentChannel].Scale
	}
}

// begin takes what is known where a pass begins.
func (i *instruments) begin(at Moment) {
	if i.at != nil {
		i.doubt = i.at(at)
	}
}
