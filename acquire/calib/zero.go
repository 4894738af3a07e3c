package calib

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// fewestZeros is how many readings a zero takes: below it a scatter means nothing.
const fewestZeros = 3

// farFromZero is the share of the set-point beyond which a reading is no zero,
// but something that is still on. Ours; common practice, no source.
const farFromZero = 0.10

// Zero is a sensor that is read with the arc off and the power source off.
type Zero struct {
	Channel, Unit string
	Readings      []float64
	Seconds       []float64   // when each was read; nil is not known
	At            float64     // what is welded with, 0 is not known
	InForce       Calibration // of the channel; the zero one has none
}

// Check returns the mean, the scatter and the drift, and a calibration that
// takes the mean z off, with the gain G that is in force:
//
//	offset = -G*z,  u(z)^2 = s^2/n + (drift*time)^2/12
//
// The drift is the slope of a straight line. Its part is that of a value that
// lies anywhere between the two ends. Source: GUM 4.2.3 and 4.3.7; standing: memory.
func (z Zero) Check() (*Check, error) {
	n := len(z.Readings)
	switch {
	case n < fewestZeros:
		return nil, fail(TooFew, ZeroCheck, "%d readings of %s; at least %d are needed", n, z.Channel, fewestZeros)
	case z.Seconds != nil && len(z.Seconds) != n:
		return nil, fail(Unpaired, ZeroCheck, "%d readings at %d times", n, len(z.Seconds))
	}
	mean, sd := stat.MeanStdDev(z.Readings, nil)
	if limit := farFromZero * math.Abs(z.At); z.At != 0 && math.Abs(mean) > limit {
		return nil, fail(NotAtZero, ZeroCheck, "%s reads %.4g %s, more than %.4g %s: that is no zero", z.Channel, mean, z.Unit, limit, z.Unit)
	}
	c := &Check{Subject: ZeroCheck, Channel: z.Channel}
	c.figure("reading", z.Unit, z.Readings...)
	u := forTwo(sd/math.Sqrt(float64(n)), n-1)
	drift := ""
	if line, ok := z.drift(); ok {
		c.figure("time", "s", z.Seconds...)
		c.outcome("drift", z.Unit+"/s", line.Gain, line.GainU)
		span := slices.Max(z.Seconds) - slices.Min(z.Seconds)
		u = combined(u, line.Gain*span/math.Sqrt(12))
		drift = fmt.Sprintf(", drift %+.3g %s over %.3g s", line.Gain*span, z.Unit, span)
	}
	c.outcome("zero", z.Unit, mean, u)
	c.outcome("standard_deviation", z.Unit, sd, 0)
	c.Calibration = z.calibration(c, mean, u)
	c.Sentence = fmt.Sprintf("%s reads %+.4g %s with the arc off, standard deviation %.2g %s%s; that is taken off from now on",
		z.Channel, mean, z.Unit, sd, z.Unit, drift)
	return c, nil
}

func (z Zero) drift() (Fitted, bool) {
	if z.Seconds == nil {
		return Fitted{}, false
	}
	return Fit(z.Seconds, z.Readings)
}

// calibration keeps the gain and its doubt. A zero alone proves no gain: where
// its doubt is not known it stays unknown.
func (z Zero) calibration(c *Check, mean, u float64) *Calibration {
	k := z.InForce
	k.Channel = z.Channel
	if k.Gain == 0 {
		k.Gain = 1
	}
	k.Offset = -k.Gain * mean
	if k.Relative > 0 && z.At != 0 {
		k.Relative = combined(k.Relative, k.Gain*u/math.Abs(z.At))
	}
	if k.Relative == 0 {
		c.note("the gain of %s is not proved by a zero: the uncertainty of a field instrument stands in until it is held against a meter", z.Channel)
	}
	return &k
}
