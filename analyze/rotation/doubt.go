package rotation

import (
	"math"

	"arctally/acquire/quantity"
)

// What is not known of the torch's turning, as standard uncertainties. Ours, no source;
// unevenness is what drives with a worn gear are seen to do.
const (
	rateDoubt     = 0.03  // share of the way for which the torch is carried on by a rate
	unevenness    = 0.08  // share by which a turn may run faster and slower, once a turn
	declaredDoubt = 0.029 // share of a rotation that nobody measured (package heat)
	sharpness     = 0.3   // degrees within which a mark is passed
)

var (
	anyOfOne = 1 / math.Sqrt(12) // standard uncertainty of a value that may lie anywhere in a width of 1
	halfWave = 1 / math.Sqrt2    // root mean square of a wave, over its amplitude
)

// standard is the standard uncertainty of a place by counts, in counts, so many of them
// a turn.
//
// With the unevenness a, the torch runs ahead and falls back by a/(2*pi) of a turn at
// most; between two places that are known, x turns apart, it strays from a straight line
// by the curvature of that, and carried on from one by what it gains until then:
//
//	between   2*pi*a*x^2/8, at most a/(2*pi)
//	carried   a*x, at most a/pi
func (d stepDoubt) standard(perTurn float64) float64 {
	if perTurn <= 0 {
		return 0
	}
	x := d.gone / perTurn
	astray := min(2*math.Pi*unevenness*x*x/8, unevenness/(2*math.Pi))
	u := halfWave * astray
	if d.carried {
		u = math.Hypot(halfWave*min(unevenness*x, unevenness/math.Pi), rateDoubt*x)
	}
	counts := u * perTurn
	if d.jumped {
		counts = math.Hypot(counts, anyOfOne)
	}
	if d.open {
		counts = math.Hypot(counts, anyOfOne)
	}
	return counts
}

// degrees makes an angle of counts.
func (t *Torch) degrees(counts float64) float64 {
	if t.counts.perTurn <= 0 {
		return 0
	}
	return 360 * counts / t.counts.perTurn
}

// NoAngle is an expanded uncertainty at which nothing is known of an angle.
const NoAngle = quantity.Degrees(180)

// AngleUncertainty is the expanded uncertainty, k = 2, of the angle at a number of turns
// of the present pass: of the anchor, and of the turns from there. It is at most NoAngle.
func (t *Torch) AngleUncertainty(turns float64) quantity.Degrees {
	switch {
	case t.measured:
		return t.astray
	case t.derived.from != "":
		return t.expanded(360 * math.Hypot(t.derived.relative()*turns, t.derived.wander))
	default:
		return t.expanded(360 * declaredDoubt * math.Abs(turns))
	}
}

// expanded is the expanded uncertainty of an angle, of the anchor and of so many degrees.
func (t *Torch) expanded(u float64) quantity.Degrees {
	if t.anchors.basis == Unknown {
		return NoAngle
	}
	return min(NoAngle, quantity.Degrees(2*math.Hypot(t.anchors.doubt, u)))
}

// stand keeps how well the newest place by counts is known: it is asked for often. Of
// counts that stand at other times than their ticks say, it adds the way in that time,
//
//	u = 360 * rate * u(time)
func (t *Torch) stand(step stepDoubt) {
	if t.stood == 0 || step != t.step || t.stoodOf != t.counts.perTurn { // between two marks it is the same
		t.step, t.stoodOf = step, t.counts.perTurn
		t.stood = math.Hypot(sharpness, t.degrees(step.standard(t.counts.perTurn)))
	}
	u := t.stood
	if t.apart > 0 {
		u = math.Hypot(u, 360*float64(t.Rate())*float64(t.apart))
	}
	t.astray = t.expanded(u)
}

// unseen is the relative standard uncertainty of the rotation where it is fastest: of an
// unevenness a, once a turn, the mean over a part L of a turn around there leaves unseen
//
//	a*(1 - sin(pi*L)/(pi*L))
//
// as the amplitude of a wave whose phase nobody knows (arcsine: over the square root of 2).
func (t *Torch) unseen() quantity.Ratio {
	part := math.Pi
	if t.measured && t.counts.perTurn > 0 {
		part = min(part, math.Pi/t.counts.perTurn)
	}
	return quantity.Ratio(halfWave * unevenness * (1 - math.Sin(part)/part))
}

// TurnedUncertainty is the expanded uncertainty, k = 2, of the turns of the present pass
// by counts; without them it is 0.
func (t *Torch) TurnedUncertainty() float64 {
	if !t.measured {
		return 0
	}
	return 2 * t.turnedDoubt()
}

// turnedDoubt is the standard uncertainty of the turns of the present pass, by counts.
func (t *Torch) turnedDoubt() float64 {
	c := t.counts.perTurn
	if c <= 0 {
		return 0
	}
	return math.Hypot(math.Hypot(t.begun.standard(c), t.step.standard(c))/c, math.Sqrt2*sharpness/360)
}
