package heat

import (
	"fmt"
	"math"
)

// signals adds what the way from the arc to the samples leaves open. A mean of voltage
// times a mean of current knows no moments, so that neither skew nor filters matter.
func (b *Budget) signals(c Circumstances) {
	if !c.Means {
		b.skew(c.Signals, c.Swing)
		b.filters(c.Signals, c.Swing)
	}
	b.leads(c.Signals, c)
	if seen := math.Abs(c.Signals.ClockSeen); seen > 0 {
		b.unknown(Clock, max(standInClock, seen), byTheHost, fmt.Sprintf("the clock of the source was seen %.0f ppm off by the host's, beyond what a clock drifts", 1e6*seen))
	} else if c.Signals.Clock.Known {
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
func (b *Budget) skew(s Signals, w Swing) {
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
func (w Swing) anySkew(slope float64) float64 {
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
func (b *Budget) filters(s Signals, w Swing) {
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
	perOhm := c.Swing.PerOhm
	if perOhm == 0 && c.Voltage != 0 {
		perOhm = math.Abs(c.Current / c.Voltage)
	}
	switch {
	case s.Leads.Known:
		*b = append(*b, Component{
			Name: Leads, Uncertainty: perOhm * math.Hypot(s.Leads.Value, rectangular(atTheTorch)), Distribution: Normal, Basis: Declared,
			Source: fmt.Sprintf("leads of %.3g mohm as declared, and not taken off", 1e3*s.Leads.Value),
		})
	case s.Tap == AtTorch:
		b.limits(Leads, atTheTorch*perOhm, Declared, torchLeads)
	case s.Tap != "":
		b.unknown(Leads, standInLeads*perOhm, leadsLaw, "the voltage is taken at the "+s.Tap+", and the resistance of the leads from there is not said")
	default:
		b.unknown(Leads, standInLeads*perOhm, leadsLaw, "where the voltage is taken is not said")
	}
}
