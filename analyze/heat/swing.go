package heat

// Swing is how voltage and current move together in a pass; the fields are those of
// arc.Swing, where they are explained. The zero value is not known.
type Swing struct{ Loop, Jumps, Step, Most, PerOhm float64 }

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
	byTheHost  = "held against the clock of the host, which kept it on record"
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
func (w Swing) slope() (share float64, source string) {
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
func (w Swing) loss(t float64) float64 {
	if w.Step == 0 {
		return standInFilters * (t / longestSkew) * (t / longestSkew)
	}
	return w.Jumps * max(t/2, t*t/w.Step)
}

// inTurn is what an order that alternates leaves: half of the samples have the current
// later by d, half of them the voltage, so that the slope falls out and what is lost at
// the jumps stays. A d that is not said is taken for 100 us.
func (w Swing) inTurn(d float64) float64 {
	if d == 0 {
		d = straight
	}
	return max(inTurn*(d/straight)*(d/straight), w.Jumps/2*d)
}
