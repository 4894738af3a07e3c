package waveform

import "math"

// Mode is how the metal goes over from the wire to the pool; the empty one is
// not known.
type Mode string

// The modes of transfer.
const (
	Dip      Mode = "dip"      // by shorts, twenty a second or more
	Spray    Mode = "spray"    // by fine drops, in an arc that hardly wavers
	Globular Mode = "globular" // by heavy drops, with few shorts or none
	Pulsed   Mode = "pulsed"   // a drop or so with every pulse of the source
)

// modes are all that can be told.
var modes = [...]Mode{Dip, Spray, Globular, Pulsed}

// What tells the modes apart. In a short the current rises while the voltage
// falls, since the inductance of the source drives it on; in a pulse the source
// lifts both. So their correlation tells the two, wherever the levels lie:
//
//	r = cov(v, i)/(s(v)*s(i))
//
// A real short-circuiting arc had -0.5 (check values SA-03, SA-09); a pulsed one
// has nearly +1, and still 0.4 where the current comes a millisecond late. What
// lies between the two limits is not told, nor is an arc whose current falls in what looks like
// shorts. (With a current more than a millisecond off, a weakly pulsed arc may still look like one
// that shorts.) Without shorts and pulses, heavy drops show in
// the voltage as they grow and fall, slowly: its means over 10 ms waver then (see unrest),
// whatever ripple and noise there is. All the figures are ours, no source.
const (
	pulsedTogether = 0.35  // r from which voltage and current rise together
	shortApart     = 0.2   // r up to which they do not
	leastSwing     = 0.2   // s(i)/mean(i) that pulses make: from 1.4 times the mean to half of it is 0.45
	leastPulse     = 0.05  // s(v)/mean(v), the same
	mostSwing      = 0.6   // s(i)/mean(i) that shorts make, through an inductance: a recorded arc had 0.18
	mostLoss       = 0.1   // of the mean current, by which it may be lower at the end of a short than at its beginning
	calm           = 0.012 // unrest of a spray arc at most
	wild           = 0.15  // s(v)/mean(v) above which a voltage without levels is nothing that we know
	stubbingShare  = 0.15  // of the time in the short, from which few shorts are long ones
)

// leastRate is the lowest rate, in Hz, of the shorts of a dip arc. Source: check value
// WD-23, 20 to more than 200 a second; standing: secondary.
const leastRate = 20

// leastTold is how much arc time, in ns, tells a mode. Ours, no source.
const leastTold = firstLook

// swings are how voltage and current waver, each over its mean, and how far they do so
// together.
type swings struct{ voltage, current, together float64 }

// swings returns those of some arc time.
func (t *aggregate) swings() swings {
	time := float64(t.time)
	v, i := t.area/time, t.charge/time
	deviationV := t.voltageDeviation()
	deviationI := math.Sqrt(max(0, t.square/time-i*i))
	s := swings{voltage: deviationV / v, current: deviationI / i}
	if product := deviationV * deviationI; product > 0 {
		s.together = (t.power/time - v*i) / product
	}
	return s
}

// voltageDeviation returns the standard deviation of the counted voltages.
func (t *aggregate) voltageDeviation() float64 {
	n, sum, square := 0.0, 0.0, 0.0
	for k, c := range t.volts {
		if c > 0 {
			v, c := middle(k), float64(c)
			n, sum, square = n+c, sum+c*v, square+c*v*v
		}
	}
	return math.Sqrt(max(0, square/n-sum*sum/(n*n)))
}

// unrest returns how far the voltage wavers from one 10 ms to the next, over its mean:
//
//	u = sqrt(pi)/2 * mean(|v[k] - v[k-1]|)/mean(v)
//
// with the means v over 10 ms each. The factor makes it the standard deviation of values that are
// independent and normal (plain statistics; standing: memory, checked by constructed noise). Steps rather
// than squares, because a short by chance then counts as two of fifty, and not for all of them.
func (t *aggregate) unrest() float64 {
	if t.slow.n == 0 {
		return 0
	}
	return math.Sqrt(math.Pi) / 2 * t.slow.mean() / (t.area / float64(t.time))
}

// pulsed reports whether voltage and current rise and fall together.
func (s swings) pulsed() bool {
	return s.together >= pulsedTogether && s.current >= leastSwing && s.voltage >= leastPulse
}

// told tells the mode of some arc time, by its own sums.
func (t *aggregate) told(l *levels) Mode {
	if t.time < leastTold {
		return ""
	}
	s := t.swings()
	if s.pulsed() {
		return Pulsed
	}
	if t.transfers > 0 && t.shortsKnown(l) {
		return t.shorting(s)
	}
	switch {
	case s.voltage > wild:
		return ""
	case t.unrest() <= calm:
		return Spray
	default:
		return Globular
	}
}

// shorting tells the mode of an arc with transfers.
func (t *aggregate) shorting(s swings) Mode {
	known := float64(t.known)
	switch {
	case s.together > shortApart && s.current >= leastSwing, s.current > mostSwing, t.gains.mean() < -mostLoss*t.charge/float64(t.time):
		return ""
	case float64(t.transfers) >= leastRate*1e-9*known || float64(t.short) >= stubbingShare*known:
		return Dip
	default:
		return Globular
	}
}

// shortsKnown reports whether shorts could be told from arc for most of the time.
func (t *aggregate) shortsKnown(l *levels) bool {
	return l.known && t.known > 0 && t.known >= t.time/2
}

// mode returns the mode in which most of the looks burned; where there was none, the
// sums tell it.
func (t *aggregate) mode(l *levels) Mode {
	best, most := Mode(""), t.untold
	looked := t.untold > 0
	for k, time := range t.modes {
		looked = looked || time > 0
		if time > most {
			best, most = modes[k], time
		}
	}
	if !looked {
		return t.told(l)
	}
	return best
}

// settle books the time of a look under its mode.
func (t *aggregate) settle(m Mode) {
	for k := range modes {
		if modes[k] == m {
			t.modes[k] += t.time
			return
		}
	}
	t.untold += t.time
}
