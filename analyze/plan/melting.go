package plan

import (
	"fmt"
	"math"
	"slices"

	"arctally/acquire/quantity"
)

// The melting law of solid steel wire on the positive pole, for a wire of 1.2 mm:
//
//	w = a*I + b*L*I^2
//
// with the wire speed w in m/s, the current I in A, the extension L in m between
// contact tip and arc, a = 0.296e-3 m/(A*s) and b = 5.0e-5 1/(A^2*s). For another
// wire of diameter d, a goes with (1.2 mm/d)^2 and b with (1.2 mm/d)^4, because heat
// goes by the metal and resistance by the section. Source of the form: Lesnewich,
// check value WD-17, secondary. Constants for steel were found in no publication:
// these are memory, and they only say that two set-points do not belong together.
const (
	meltingReference = 0.0012
	meltingAnode     = 0.296e-3
	meltingJoule     = 5.0e-5
)

// usualExtension is the wire between tip and arc, in diameters of the wire: 12, the
// middle of the 10 to 15 that shops set. Common practice, no source.
const usualExtension = 12

// farFromLaw is the ratio of two currents from which they do not belong together.
// The law and the extension are known to about a quarter, and a wire taken for the
// next one on the shelf is off by half. Ours, no source.
const farFromLaw = 1.4

// solidWire are the processes that the law is about.
var solidWire = []string{"MAG", "MIG"}

// currentToMelt returns the current at which a wire melts as fast as it is fed:
//
//	I = (sqrt(a^2 + 4*b*L*w) - a)/(2*b*L)
func currentToMelt(wire quantity.Metres, feed quantity.MetresPerSecond) quantity.Amperes {
	section := math.Pow(meltingReference/float64(wire), 2)
	a, bL := meltingAnode*section, meltingJoule*section*section*usualExtension*float64(wire)
	return quantity.Amperes((math.Sqrt(a*a+4*bL*float64(feed)) - a) / (2 * bL))
}

// melting holds set-points and windows of current and wire speed against the law.
func (p *planner) melting() {
	if !slices.Contains(solidWire, p.job.Procedure.Process) {
		return
	}
	s, limits := p.plan.Settings, p.job.Procedure.Limits
	expected := p.currentAt(s.WireSpeed)
	if s.Current > 0 && farApart(expected, s.Current) {
		p.warn("melting", 0, fmt.Sprintf("wire speed and current do not belong together: %s, not %s; %s",
			p.expects(s.WireSpeed), quantity.Text(s.Current, "A", 0), lawStanding))
	}
	if limits.WireSpeed.HasLow && limits.Current.HasLow {
		p.meltsAtLimit("lowest", limits.WireSpeed.Low, limits.Current.Low, limits.Current.Low > p.currentAt(limits.WireSpeed.Low))
	}
	if limits.WireSpeed.HasHigh && limits.Current.HasHigh {
		p.meltsAtLimit("highest", limits.WireSpeed.High, limits.Current.High, limits.Current.High < p.currentAt(limits.WireSpeed.High))
	}
}

// lawStanding says how far the law is to be trusted.
const lawStanding = "check the set-points and the diameter of the wire (the constants of the law are memory; it warns from a ratio of 1.4)"

// meltsAtLimit warns of a wire speed that the procedure allows and whose current it
// does not. A window of current wider than the wire needs is no contradiction.
func (p *planner) meltsAtLimit(which string, feed quantity.MetresPerSecond, limit quantity.Amperes, beyond bool) {
	if beyond && farApart(p.currentAt(feed), limit) {
		p.warn("melting", 0, fmt.Sprintf("the procedure's windows of wire speed and current do not belong together: at its %s wire speed %s, and its %s current is %s; %s",
			which, p.expects(feed), which, quantity.Text(limit, "A", 0), lawStanding))
	}
}

func (p *planner) currentAt(feed quantity.MetresPerSecond) quantity.Amperes {
	return currentToMelt(p.job.Deposit.WireDiameter, feed)
}

// expects is what the law says of a wire speed.
func (p *planner) expects(feed quantity.MetresPerSecond) string {
	wire := p.job.Deposit.WireDiameter
	return fmt.Sprintf("by the melting law I would expect about %s at %s of %s wire, with %s of it beyond the contact tip",
		quantity.Significant(p.currentAt(feed), "A", 2), quantity.Text(feed, "m/min", 1),
		quantity.Text(wire, "mm", 2), quantity.Text(usualExtension*wire, "mm", 0))
}

func farApart(a, b quantity.Amperes) bool { return a > farFromLaw*b || b > farFromLaw*a }
