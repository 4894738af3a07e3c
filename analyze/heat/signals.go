package heat

import (
	"math"

	"arctally/acquire/series"
)

// Signals are what is said of how voltage and current become samples: by the source of
// itself, or by the job. The zero value says nothing.
type Signals struct {
	Skew       series.Stated // s, how much later current is sampled than voltage
	Alternates bool          // the order of the two changes with every sample
	// VoltageBandwidth and CurrentBandwidth are in Hz at -3 dB; 0 is not known.
	VoltageBandwidth, CurrentBandwidth float64
	Tap                                string        // where the voltage is taken: torch, feeder, source; empty is not known
	Leads                              series.Stated // ohm, from there to the contact tip
	Clock                              series.Stated // share by which the clock may be off its rate
	ClockSeen                          float64       // share by which it was seen to be off; 0 is not so
}

// The places at which a voltage is taken.
const (
	AtTorch  = "torch"
	AtFeeder = "feeder"
	AtSource = "source"
)

// SignalsOf returns what a source says of itself.
func SignalsOf(src series.Source) Signals {
	s := Signals{
		Skew: millionths(src.Skew), Alternates: src.SkewAlternates,
		Clock: millionths(src.ClockDeviation),
	}
	if len(src.Channels) > series.CurrentChannel {
		v, i := src.Channels[series.VoltageChannel], src.Channels[series.CurrentChannel]
		s.VoltageBandwidth, s.CurrentBandwidth = v.Bandwidth, i.Bandwidth
		if v.Tap == AtTorch || v.Tap == AtFeeder || v.Tap == AtSource {
			s.Tap = v.Tap
		}
	}
	return s
}

func millionths(s series.Stated) series.Stated {
	s.Value /= 1e6
	return s
}

// Or returns the signals with what they do not say taken from another.
func (s Signals) Or(other Signals) Signals {
	if !s.Skew.Known && !s.Alternates {
		s.Skew, s.Alternates = other.Skew, other.Alternates
	}
	if s.VoltageBandwidth == 0 {
		s.VoltageBandwidth = other.VoltageBandwidth
	}
	if s.CurrentBandwidth == 0 {
		s.CurrentBandwidth = other.CurrentBandwidth
	}
	if s.Tap == "" {
		s.Tap = other.Tap
	}
	if !s.Leads.Known {
		s.Leads = other.Leads
	}
	if !s.Clock.Known {
		s.Clock = other.Clock
	}
	return s
}

// Worse returns what holds of two sources that one pass was measured by: what one of
// them does not say is not known.
func (s Signals) Worse(other Signals) Signals {
	s.Skew, s.Leads, s.Clock = worse(s.Skew, other.Skew), worse(s.Leads, other.Leads), worse(s.Clock, other.Clock)
	s.Alternates = s.Alternates && other.Alternates
	s.VoltageBandwidth = min(s.VoltageBandwidth, other.VoltageBandwidth)
	s.CurrentBandwidth = min(s.CurrentBandwidth, other.CurrentBandwidth)
	if s.Tap != other.Tap {
		s.Tap = ""
	}
	return s
}

func worse(a, b series.Stated) series.Stated {
	if !a.Known || !b.Known {
		return series.Stated{}
	}
	if math.Abs(b.Value) > math.Abs(a.Value) {
		return b
	}
	return a
}
