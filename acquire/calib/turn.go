package calib

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// diameterLimits is the share to which the diameter that is welded on is known,
// +-a, in the calibration of the travel. Common practice, no source.
const diameterLimits = 0.01

// TimedTurn is turns of the torch that are timed by hand: one or several runs,
// each with the turns that the sensor counted meanwhile, if it counts.
type TimedTurn struct {
	Turns, Time            []float64 // turns, s
	Counted                []float64 // turns; nil where nothing counts them
	TurnLimits, TimeLimits float64   // +-a, turns and s
	Declared               float64   // turns/s, 0 is not declared
}

// Check returns the rotation n in turns per second, holds it against what is
// counted or declared, and gives a calibration of the travel:
//
//	n = sum(turns)/sum(time)
//	u(n)^2/n^2 = (uN/N)^2 + (ut/t)^2 + scatter of the runs
//	u(travel)^2 = u(n)^2 + d^2 + u(D)^2        relative
//
// with the difference d between n and what stands for it, which is not
// corrected, and the diameter D. Source: GUM law of propagation, and F.2.4.5 for
// a difference that is left; standing: memory.
func (t TimedTurn) Check() (*Check, error) {
	if err := t.refuse(); err != nil {
		return nil, err
	}
	speeds := make([]float64, len(t.Turns))
	for k := range speeds {
		speeds[k] = t.Turns[k] / t.Time[k]
	}
	n := floats.Sum(t.Turns) / floats.Sum(t.Time)
	u := combined(rectangular(t.TurnLimits)/stat.Mean(t.Turns, nil), rectangular(t.TimeLimits)/stat.Mean(t.Time, nil), scatter(speeds))
	c := &Check{Subject: RotationCheck}
	c.figure("turns", "", t.Turns...)
	c.figure("time", "s", t.Time...)
	c.outcome("rotation", "1/s", n, u*n)
	c.Sentence = fmt.Sprintf("the torch turns at %.4g rpm (%.5g 1/s), standard uncertainty %.2g %%", n*secondsPerMinute, n, 100*u)
	beyond := t.compare(c, n, u)
	c.Calibration = &Calibration{Channel: "travel", Gain: 1, Relative: combined(u, beyond, rectangular(diameterLimits))}
	return c, nil
}

func (t TimedTurn) refuse() error {
	n := len(t.Turns)
	switch {
	case n == 0:
		return fail(TooFew, RotationCheck, "no turns")
	case len(t.Time) != n || t.Counted != nil && len(t.Counted) != n:
		return fail(Unpaired, RotationCheck, "%d turns, %d times, %d counts", n, len(t.Time), len(t.Counted))
	}
	return positive(RotationCheck, named{"a number of turns", t.Turns}, named{"a time", t.Time}, named{"a count", t.Counted})
}

// compare returns the relative difference from what is counted, or else from
// what is declared, and says whether it is one.
func (t TimedTurn) compare(c *Check, n, u float64) float64 {
	name, stands := "declared", t.Declared
	if t.Counted != nil {
		name, stands = "counted", floats.Sum(t.Counted)/floats.Sum(t.Time)
		c.figure("counted", "", t.Counted...)
	}
	if stands == 0 {
		c.note("the job declares no rotation, and nothing was counted: there is nothing to hold it against")
		return 0
	}
	d := n/stands - 1
	c.outcome("beyond_"+name, "%", 100*d, 100*u)
	word := "which is no more than the doubt"
	if math.Abs(d) > 2*u {
		word = "more than the doubt: mend the job file or the drive"
	}
	c.Sentence += fmt.Sprintf("; that is %+.2g %% from the %s %.4g rpm, %s", 100*d, name, stands*secondsPerMinute, word)
	return d
}
