package quantity

import "strings"

// Quantity is any of the physical quantities.
type Quantity interface {
	Volts | Amperes | Ohms | Watts | Joules | Seconds | Hertz | Metres | SquareMetres | MetresPerSecond |
		JoulesPerMetre | AmperesPerMetre | TurnsPerSecond | Degrees | Celsius | CubicMetresPerSecond | CubicMetres | Kilograms |
		KilogramsPerMetre | KilogramsPerSecond | Ratio | Hydrogen
}

// Range is a window with a lower limit, an upper limit, or both. The zero
// value has no limit and contains everything.
type Range[Q Quantity] struct {
	Low, High       Q
	HasLow, HasHigh bool
}

// IsZero reports whether the range has no limit at all.
func (r Range[Q]) IsZero() bool { return !r.HasLow && !r.HasHigh }

// Beyond returns how far q lies outside the range: negative below the lower
// limit, positive above the upper one, zero inside and on a limit.
func (r Range[Q]) Beyond(q Q) Q {
	switch {
	case r.HasLow && q < r.Low:
		return q - r.Low
	case r.HasHigh && q > r.High:
		return q - r.High
	default:
		return 0
	}
}

// rangeMark stands between the limits of a range.
const rangeMark = ".."

// ParseRange reads a window: "16.5..19.0 V", "..250 degC" or "12.. L/min". The
// unit stands once, at the end, and holds for both limits; a limit that is
// reached is inside. A reversed window and one without limits are an *Error.
func ParseRange[Q Quantity](text string) (Range[Q], error) {
	d := dimensionOf[Q]()
	low, high, u, err := d.cutRange(text)
	if err != nil {
		return Range[Q]{}, err
	}
	r := Range[Q]{HasLow: low != "", HasHigh: high != ""}
	if r.Low, err = limit[Q](d, text, low, u); err != nil {
		return Range[Q]{}, err
	}
	if r.High, err = limit[Q](d, text, high, u); err != nil {
		return Range[Q]{}, err
	}
	if r.HasLow && r.HasHigh && r.Low > r.High {
		return Range[Q]{}, d.fail(text, "limits are reversed; write the lower one first")
	}
	return r, nil
}

// cutRange splits a window into the digits of its limits and its unit.
func (d *dimension) cutRange(text string) (low, high string, u unit, err error) {
	rest := strings.TrimSpace(text)
	if !strings.HasPrefix(rest, rangeMark) {
		low, rest = cutNumber(rest)
	}
	rest, marked := strings.CutPrefix(strings.TrimSpace(rest), rangeMark)
	if !marked {
		return "", "", unit{}, d.fail(text, "not a window; write low..high, low.. or ..high and the unit, %s", d.choices())
	}
	high, rest = cutNumber(strings.TrimSpace(rest))
	if mixed(low, high) {
		return "", "", unit{}, d.fail(text, mixedSigns)
	}
	if low == "" && high == "" {
		return "", "", unit{}, d.fail(text, "window has no limit; write low..high, low.. or ..high and the unit, %s", d.choices())
	}
	u, ok := d.find(strings.TrimSpace(rest))
	if !ok {
		return "", "", unit{}, d.fail(text, "%s", d.whyNot(strings.TrimSpace(rest)))
	}
	return low, high, u, nil
}

// limit converts one end of a window; an open end is zero.
func limit[Q Quantity](d *dimension, text, digits string, u unit) (Q, error) {
	if digits == "" {
		return 0, nil
	}
	value, err := d.value(text, digits, u)
	return Q(value), err
}
