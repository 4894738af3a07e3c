package link

import (
	"errors"
	"fmt"
	"math"
	"unicode"
	"unicode/utf8"
)

// What a HELLO may say. A number outside is none that a box can have, and would
// end in results that nobody can have meant: a turn in 1e-300 counts. (sensor-link,
// "Bounds"; those of the wire and the bandwidth are ours.)
var (
	countsPerTurnBounds = bounds{1, 1e6}
	wirePerCountBounds  = bounds{1e-9, 1e3} // m
	skewBounds          = bounds{-1e5, 1e5} // us
	clockBounds         = bounds{0, 1e5}    // ppm
	scaleBounds         = bounds{1e-9, 1e6} // of its magnitude, in the channel's unit per code
	offsetBounds        = bounds{0, 1e9}    // of its magnitude, in the channel's unit
	bitsBounds          = bounds{1, 32}
	bandwidthBounds     = bounds{1e-6, 1e9} // Hz
)

// longestText is how many characters a text of a HELLO may have.
const longestText = 64

// bounds are the least and the most that a number may be.
type bounds struct{ low, high float64 }

// holds returns an error that names the field of a number outside; one that is
// missing is nowhere.
func (b bounds) holds(field string, x *float64) error {
	if x == nil || *x >= b.low && *x <= b.high {
		return nil
	}
	return fmt.Errorf("%s %v is not within %v..%v", field, *x, b.low, b.high)
}

// magnitudeHolds is holds for a number of either sign.
func (b bounds) magnitudeHolds(field string, x float64) error {
	magnitude := math.Abs(x)
	if b.holds(field, &magnitude) == nil {
		return nil
	}
	return fmt.Errorf("%s %v: its magnitude is not within %v..%v", field, x, b.low, b.high)
}

// units are those in which the rest of the program expects these channels.
var units = map[string]string{
	"voltage":     "V",
	"current":     "A",
	"wire_speed":  "m/s",
	"gas_flow":    "L/min",
	"temperature": "degC",
}

// check refuses a description that no box can have, or by which codes could not be
// turned into values.
func (h *hello) check() error {
	return firstOf(
		textHolds("name", h.Name),
		textHolds("serial", h.Serial),
		textHolds("firmware", h.Firmware),
		textHolds("calibration", h.Calibration),
		countsPerTurnBounds.holds("counts_per_turn", h.CountsPerTurn),
		wirePerCountBounds.holds("wire_m_per_count", h.WirePerCount),
		skewBounds.holds("skew_us", h.Skew),
		clockBounds.holds("clock_ppm", h.ClockDeviation),
		h.checkChannels(),
	)
}

func (h *hello) checkChannels() error {
	if len(h.Channels) == 0 {
		return errors.New("channels: there is none")
	}
	for k, c := range h.Channels {
		if err := c.check(); err != nil {
			return fmt.Errorf("channels[%d].%w", k, err)
		}
	}
	return nil
}

func (c helloChannel) check() error {
	if err := firstOf(
		textHolds("name", c.Name),
		textHolds("unit", c.Unit),
		textHolds("basis", c.Basis),
		textHolds("tap", c.Tap),
		scaleBounds.magnitudeHolds("scale", c.Scale),
		offsetBounds.magnitudeHolds("offset", c.Offset),
		bitsBounds.holds("bits", c.Bits),
		bandwidthBounds.holds("bandwidth_hz", c.Bandwidth),
	); err != nil {
		return err
	}
	if c.Bits != nil && *c.Bits != math.Trunc(*c.Bits) {
		return fmt.Errorf("bits %v is no whole number", *c.Bits)
	}
	if unit, known := units[c.Name]; known && c.Unit != unit {
		return fmt.Errorf("unit %q of %s is not %s", c.Unit, c.Name, unit)
	}
	return nil
}

// textHolds returns an error that names the field of a text that is too long to be
// read, or would move the cursor of a terminal.
func textHolds(field, text string) error {
	if n := utf8.RuneCountInString(text); n > longestText {
		return fmt.Errorf("%s has %d characters, more than %d", field, n, longestText)
	}
	for _, r := range text {
		if unicode.IsControl(r) {
			return fmt.Errorf("%s %q has a control character", field, text)
		}
	}
	return nil
}

// firstOf returns the first error that is one.
func firstOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
