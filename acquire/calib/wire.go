package calib

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
)

// Limits of what a person measures, where nothing else is given: a rule over a
// piece of wire, a watch that is started and stopped by hand, and a mark on the
// bar. Ours; common practice, no source.
const (
	DefaultLengthLimits = 0.001     // m
	DefaultTimeLimits   = 0.3       // s
	DefaultTurnLimits   = 1.0 / 360 // turns
)

// DefaultWanted is the relative standard uncertainty that a wire run aims at.
const DefaultWanted = 0.005

// farFromReading is the factor beyond which a reading and what was measured are
// not the same thing: a unit was mistaken.
const farFromReading = 2

// minutes in a second: wire feeds are set in m/min.
const secondsPerMinute = 60

// WireRun is wire that is fed for a measured time and then measured: one or
// several runs, each with what the feeder or the sensor said meanwhile.
type WireRun struct {
	Length, Time []float64 // m, s
	Reading      []float64 // m/s; nil where there is none
	// LengthLimits and TimeLimits are +-a, in m and s.
	LengthLimits, TimeLimits float64
	Wanted                   float64 // relative standard uncertainty
	Set                      float64 // m/s, 0 is not declared
}

// Check returns the speed v = L/t, and for how long to run for the uncertainty
// that is wanted. Where there is a reading x it gives a calibration: the gain of
// the line through zero, of speeds on readings.
//
//	u(v)^2/v^2 = (uL/L)^2 + (ut/t)^2 + scatter of the runs
//	time       = sqrt( (uL/v)^2 + ut^2 ) / wanted
//
// with uL and ut from the limits, as rectangular distributions. Source: GUM
// 4.3.7 and law of propagation; standing: memory.
func (w WireRun) Check() (*Check, error) {
	if err := w.refuse(); err != nil {
		return nil, err
	}
	speeds := make([]float64, len(w.Length))
	for k := range speeds {
		speeds[k] = w.Length[k] / w.Time[k]
	}
	v := stat.Mean(speeds, nil)
	ofLength, ofTime := rectangular(w.LengthLimits), rectangular(w.TimeLimits)
	tools := combined(ofLength/stat.Mean(w.Length, nil), ofTime/stat.Mean(w.Time, nil))
	u := combined(tools, scatter(speeds))
	c := &Check{Subject: WireCheck, Channel: "wire_speed"}
	c.figure("length", "m", w.Length...)
	c.figure("time", "s", w.Time...)
	c.outcome("speed", "m/min", v*secondsPerMinute, u*v*secondsPerMinute)
	long := combined(ofLength/v, ofTime) / w.Wanted
	c.outcome("run_for", "s", long, 0)
	c.Sentence = fmt.Sprintf("the wire runs at %.4g m/min, standard uncertainty %.2g %%; for %.2g %% run it for %.3g s, %.3g m",
		v*secondsPerMinute, 100*u, 100*w.Wanted, long, long*v)
	if w.Set > 0 {
		c.outcome("beyond_set_point", "%", 100*(v/w.Set-1), 100*u)
	}
	if w.Reading == nil {
		c.note("no reading was given: nothing is corrected")
		return c, nil
	}
	if err := w.correct(c, speeds, tools); err != nil {
		return nil, err
	}
	return c, nil
}

func (w WireRun) refuse() error {
	n := len(w.Length)
	switch {
	case n == 0:
		return fail(TooFew, WireCheck, "no length of wire")
	case len(w.Time) != n || w.Reading != nil && len(w.Reading) != n:
		return fail(Unpaired, WireCheck, "%d lengths, %d times, %d readings", n, len(w.Time), len(w.Reading))
	}
	return positive(WireCheck, named{"a length", w.Length}, named{"a time", w.Time}, named{"a reading", w.Reading}, named{"a wanted uncertainty", []float64{w.Wanted}})
}

// correct adds the calibration of the wire speed.
func (w WireRun) correct(c *Check, speeds []float64, tools float64) error {
	line, _ := FitThroughZero(w.Reading, speeds) // refuse has seen that they are above zero
	if line.Gain > farFromReading || line.Gain < 1.0/farFromReading {
		return fail(Impossible, WireCheck, "what was measured is %.3g times the reading: is one of them in another unit?", line.Gain)
	}
	u := combined(tools, forTwo(line.GainU/line.Gain, line.Dof))
	c.figure("reading", "m/s", w.Reading...)
	c.outcome("gain", "", line.Gain, u*line.Gain)
	c.Calibration = &Calibration{Channel: "wire_speed", Gain: line.Gain, Relative: u}
	c.Sentence += fmt.Sprintf("; wire speed: corrected = reading * %.4g", line.Gain)
	return nil
}

// scatter is the relative standard uncertainty of the mean of some runs from
// their scatter, 0 for a single one.
func scatter(values []float64) float64 {
	n := len(values)
	if n < 2 {
		return 0
	}
	mean, sd := stat.MeanStdDev(values, nil)
	return forTwo(sd/math.Sqrt(float64(n))/mean, n-1)
}
