package heat

import (
	"fmt"
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

// Waveform is how voltage and current move together in a pass; the fields are those of
// arc.Swing, where they are explained. The zero value is not known.
type Waveform struct{ Loop, Jumps, Step, Most, Amperes float64 }

// What skew and filters cost where the samples themselves do not show it, and from
// where on nothing shows it. The link's description has half as much for the dipping arc
// that it was calculated for, 0.55 % for 100 us and up to 4 % for a millisecond; harder
// dips cost twice that (TestCampaign). Standing: ours.
const (
	slopeOfDip     = 110.0  // 1/s: 1.1 % of the power for 100 us
	standInSkew    = 0.08   // of the power, for a millisecond
	standInFilters = 0.04   // of the power
	inTurn         = 0.0002 // of the power, where the order alternates with 100 us between the two
	straight       = 100e-6 // s: up to here the cost of a skew is a straight line
	longestSkew    = 1e-3   // s: beyond, the moments of the two have nothing to do with one another
	lowest         = 500.0  // Hz: a lower bandwidth does not follow a dipping arc
	digitOfSkew    = 1e-6   // s: a skew is stated in microseconds
)

// Limits that stand in for the drop in the leads and for a clock.
const (
	standInLeads = 5e-3 // ohm: 4 % of 17.5 V at 140 A
	atTheTorch   = 5e-4 // ohm, from a tap at the torch to the contact tip, and in the clamp of the work lead
	standInClock = 5e-3 // of a ceramic resonator
)

// Where those come from.
const (
	ofDip      = "a millisecond on a dipping arc, calculated (ours)"
	ofSamples  = "what the samples of the pass themselves make of it"
	ofDipTable = "calculated for a dipping arc (ours)"
	resonator  = "a ceramic resonator; common practice, no source"
	filterLaw  = "delay and loss of filters of first or second order"
	leadsLaw   = "leads of 5 mohm; common practice, no source"
	torchLeads = "0.5 mohm from the tap to the contact tip; common practice, no source"
)

// slope is what a skew costs per second of it, as a share of the power: the area that
// the arc goes round, and the jumps of both that fall between two samples, of which a
// skew d parts d/step:
//
//	slope = loop + jumps/2
//
// Ours; plain analysis. Without samples it is that of a dipping arc.
func (w Waveform) slope() (share float64, source string) {
	if w.Step == 0 {
		return slopeOfDip, ofDipTable
	}
	return w.Loop + w.Jumps/2, ofSamples
}

// loss is what two filters with a mean square delay t^2 take away of the power that
// voltage and current make by moving together:
//
//	a = jumps * max( t/2, t^2/step )
//
// for jumps between two samples, and for such as the filters spread over several. Ours:
// the mean of v(t)*i(t+d) falls by jumps*d/2 at a jump of both, and two filters of first
// order see that over a mean |d| of t. Without samples it is 4 % for a millisecond,
// squared.
func (w Waveform) loss(t float64) float64 {
	if w.Step == 0 {
		return standInFilters * (t / longestSkew) * (t / longestSkew)
	}
	return w.Jumps * max(t/2, t*t/w.Step)
}

// inTurn is what an order that alternates leaves: half of the samples have the current
// later by d, half of them the voltage, so that the slope falls out and what is lost at
// the jumps stays. A d that is not said is taken for 100 us.
func (w Waveform) inTurn(d float64) float64 {
	if d == 0 {
		d = straight
	}
	return max(inTurn*(d/straight)*(d/straight), w.Jumps/2*d)
}

// signals adds what the way from the arc to the samples leaves open. A mean of voltage
// times a mean of current knows no moments, so that neither skew nor filters matter.
func (b *Budget) signals(c Circumstances) {
	if !c.Means {
		b.skew(c.Signals, c.Waveform)
		b.filters(c.Signals, c.Waveform)
	}
	b.leads(c.Signals, c)
	if c.Signals.Clock.Known {
		b.limits(Clock, math.Abs(c.Signals.Clock.Value), Declared, "what the source says of its clock")
	} else {
		b.unknown(Clock, standInClock, resonator, "how far the clock of the source may be off is not said")
	}
}

// unknown adds a stand-in for what nobody said.
func (b *Budget) unknown(name string, a float64, source, what string) {
	b.limits(name, a, StandIn, what+"; "+source)
	(*b)[len(*b)-1].Unknown = what
}

// skew adds what it costs that current is sampled later than voltage. A skew that is
// known is not taken off, so that what it costs counts in full, and not as a limit:
//
//	u = slope * sqrt( d^2 + digit^2/12 )
//
// Source: GUM F.2.4.5 on corrections that are not applied; standing: memory.
func (b *Budget) skew(s Signals, w Waveform) {
	slope, source := w.slope()
	d := math.Abs(s.Skew.Value)
	switch {
	case d > longestSkew:
		b.unknown(Skew, standInPower, averagedArcs, fmt.Sprintf("the skew between voltage and current, %.3g ms, is too long for a mean of their product", 1e3*d))
	case s.Alternates:
		b.limits(Skew, w.inTurn(d), Declared, "the order alternates with every sample; calculated (ours)")
	case !s.Skew.Known:
		b.unknown(Skew, w.anySkew(slope), ofDip, "the skew between voltage and current is not declared")
	case d > straight:
		b.unknown(Skew, max(standInSkew, slope*d), ofDip, fmt.Sprintf("what the skew between voltage and current of %.3g us costs is not known", 1e6*d))
	default:
		*b = append(*b, Component{
			Name: Skew, Uncertainty: slope * math.Hypot(d, resolution(digitOfSkew)), Distribution: Normal, Basis: Declared,
			Source: fmt.Sprintf("declared, %.3g us, and not taken off: %s", 1e6*s.Skew.Value, source),
		})
	}
}

// anySkew is the limit of what a skew of up to a millisecond may cost. Where voltage
// and current hardly move, none does.
func (w Waveform) anySkew(slope float64) float64 {
	if w.Step == 0 {
		return standInSkew
	}
	return min(max(standInSkew, slope*longestSkew), w.Most)
}

// filters adds what filters do to the mean of a product: the one delays more than the
// other, which is a skew, and both take away what changes quickly. With the time t of a
// filter of bandwidth f, of first or of second order, nobody says which:
//
//	t = 1/(2*pi*f)        delay from t to sqrt(2)*t
//
// Source: filters of first order and of Butterworth's second; standing: memory.
func (b *Budget) filters(s Signals, w Waveform) {
	low := min(s.VoltageBandwidth, s.CurrentBandwidth)
	switch {
	case low == 0:
		b.unknown(Filters, standInFilters, ofDip, "the bandwidth of "+unfiltered(s)+" is not known")
		return
	case low < lowest:
		b.unknown(Filters, standInPower, averagedArcs, fmt.Sprintf("a bandwidth of %.3g Hz does not follow a dipping arc", low))
		return
	}
	t, u := 1/(2*math.Pi*s.VoltageBandwidth), 1/(2*math.Pi*s.CurrentBandwidth)
	apart := math.Sqrt2*max(t, u) - min(t, u)
	if apart > straight {
		b.unknown(Filters, standInFilters, ofDip, fmt.Sprintf("the filters may delay voltage and current by %.3g us apart, and what that costs is not known", 1e6*apart))
		return
	}
	slope, source := w.slope()
	b.limits(Filters, slope*apart+w.loss(math.Hypot(t, u)/math.Sqrt2), Declared, filterLaw+"; "+source)
}

// unfiltered names the channels whose bandwidth is not known.
func unfiltered(s Signals) string {
	switch {
	case s.VoltageBandwidth > 0:
		return Current
	case s.CurrentBandwidth > 0:
		return Voltage
	default:
		return Voltage + " and " + Current
	}
}

// leads adds the drop between the place where the voltage is taken and the arc. It makes
// the voltage too high, by a resistance R at a mean square current:
//
//	a = R * mean(i^2) / mean(v*i)
//
// A resistance that is said is not taken off, as little as a skew is: what is judged is
// what was measured, and its doubt is as wide as the drop.
func (b *Budget) leads(s Signals, c Circumstances) {
	amperes := c.Waveform.Amperes
	if amperes == 0 && c.Voltage != 0 {
		amperes = math.Abs(c.Current / c.Voltage)
	}
	switch {
	case s.Leads.Known:
		*b = append(*b, Component{
			Name: Leads, Uncertainty: amperes * math.Hypot(s.Leads.Value, rectangular(atTheTorch)), Distribution: Normal, Basis: Declared,
			Source: fmt.Sprintf("leads of %.3g mohm as declared, and not taken off", 1e3*s.Leads.Value),
		})
	case s.Tap == AtTorch:
		b.limits(Leads, atTheTorch*amperes, Declared, torchLeads)
	case s.Tap != "":
		b.unknown(Leads, standInLeads*amperes, leadsLaw, "the voltage is taken at the "+s.Tap+", and the resistance of the leads from there is not said")
	default:
		b.unknown(Leads, standInLeads*amperes, leadsLaw, "where the voltage is taken is not said")
	}
}
