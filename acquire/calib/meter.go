package calib

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// What a check against a meter asks for; ours, no source.
const (
	fewestPoints    = 2
	leastSpan       = 0.25 // of the largest reading: closer points tell gain and offset badly apart
	widestResiduals = 0.10 // of the span of the references
	enoughFreedom   = 5    // degrees of freedom: with fewer the scatter counts more than 1.3-fold
)

// Meter is a channel that is held against a reference meter at two points or more.
type Meter struct {
	Channel, Unit      string
	Reading, Reference []float64
	// ReferenceU is the standard uncertainty of the reference, in Unit;
	// ReferenceRelative is a share of what it shows. 0 is not known.
	ReferenceU, ReferenceRelative float64
	Step                          float64 // one digit of the coarser of the two; 0 is not known
	At                            float64 // what is welded with; 0 takes the middle of the points
}

// Check returns the line, and a calibration with the relative standard
// uncertainty of a corrected value y at what is welded with:
//
//	u(x)   = max( t/2*sqrt( s^2 + u(y(x))^2 ), step/sqrt(3) )
//	u(y)^p = u(x)^p + u(ref)^p       p = 2 + 4/nu
//
// of the residuals and the line, with the factor t of their degrees of freedom nu, and
// of the reference, which is common to all points. A step hides 1/sqrt(12) of itself four
// times: in reading and reference, of the points and of what is read after the check.
// With many points p is 2, the root of the sum of squares;
// with few of them that would cover far more than it says, and the formula of Welch and
// Satterthwaite less. p is ours, from 10^4 draws of checks (TestMeter_coverage): from
// four points on it covers 94 to 97 % where 95 is said, with three up to 99, because
// one degree of freedom knows no better.
//
// The uncertainty is not known where there are two points, which leave no residuals,
// where the points lie on the line to the last digit and nobody said how fine that is,
// and where nobody gave the uncertainty of the reference.
func (m Meter) Check() (*Check, error) {
	if err := m.refuse(); err != nil {
		return nil, err
	}
	line, _ := Fit(m.Reading, m.Reference) // refuse has seen that they differ
	span := slices.Max(m.Reference) - slices.Min(m.Reference)
	switch {
	case line.Gain <= 0:
		return nil, fail(NegativeGain, MeterCheck, "the gain of %s comes out as %.4g", m.Channel, line.Gain)
	case line.ResidualSD > widestResiduals*span:
		return nil, fail(Scattered, MeterCheck, "the points of %s lie %.3g %s off the line, where they span %.3g %s", m.Channel, line.ResidualSD, m.Unit, span, m.Unit)
	}
	return m.result(line), nil
}

func (m Meter) refuse() error {
	n := len(m.Reading)
	switch {
	case n != len(m.Reference):
		return fail(Unpaired, MeterCheck, "%d readings and %d references", n, len(m.Reference))
	case n < fewestPoints:
		return fail(TooFew, MeterCheck, "%d point of %s; at least %d are needed, to tell a gain from an offset", n, m.Channel, fewestPoints)
	}
	span, largest := slices.Max(m.Reading)-slices.Min(m.Reading), 0.0
	for _, x := range m.Reading {
		largest = max(largest, math.Abs(x))
	}
	if !(span > 0) || span < leastSpan*largest {
		return fail(TooClose, MeterCheck, "the readings of %s span %.4g %s; at least %.4g %s are needed", m.Channel, span, apart(m.Unit), leastSpan*largest, apart(m.Unit))
	}
	return nil
}

// apart is the unit of how far two values lie apart: a difference of temperatures is no temperature.
func apart(unit string) string {
	if unit == "degC" {
		return "K"
	}
	return unit
}

func (m Meter) result(line Fitted) *Check {
	c := &Check{Subject: MeterCheck, Channel: m.Channel}
	c.figure("reading", m.Unit, m.Reading...)
	c.figure("reference", m.Unit, m.Reference...)
	at := m.At
	if at == 0 {
		at = stat.Mean(m.Reference, nil)
	}
	ofPoints, ofReference := m.ofPoints(line, at), combined(m.ReferenceU, m.ReferenceRelative*at)
	u := 0.0
	if ofPoints > 0 && ofReference > 0 {
		p := 2 + 4/float64(line.Dof)
		u = math.Pow(math.Pow(ofPoints, p)+math.Pow(ofReference, p), 1/p)
	}
	c.outcome("gain", "", line.Gain, line.GainU)
	c.outcome("offset", m.Unit, line.Offset, line.OffsetU)
	c.outcome("residual_standard_deviation", m.Unit, line.ResidualSD, 0)
	c.outcome("corrected", m.Unit, at, u)
	c.Calibration = &Calibration{Channel: m.Channel, Gain: line.Gain, Offset: line.Offset, Relative: u / math.Abs(at)}
	m.notes(c, line, at, ofReference == 0)
	known := "its uncertainty is not known, and that of a field instrument stands in"
	if u > 0 {
		known = fmt.Sprintf("at %.4g %s its standard uncertainty is %.2g %s (%.2g %%)", at, m.Unit, u, m.Unit, 100*u/math.Abs(at))
	}
	c.Sentence = fmt.Sprintf("%s: corrected = reading * %.5g %+.3g %s, from %d points; %s", m.Channel, line.Gain, line.Offset, m.Unit, line.N, known)
	return c
}

// ofPoints is what the points leave open of a corrected value; 0 is not known.
func (m Meter) ofPoints(line Fitted, at float64) float64 {
	if line.Dof < 1 {
		return 0
	}
	_, ofLine := line.At((at - line.Offset) / line.Gain)
	return max(forTwo(combined(line.ResidualSD, ofLine), line.Dof), m.Step/math.Sqrt(3))
}

func (m Meter) notes(c *Check, line Fitted, at float64, noReference bool) {
	switch {
	case line.Dof == 0:
		c.note("two points leave no residuals, so that nothing is known of the scatter of %s: take a third point, better a fourth", m.Channel)
	case line.ResidualSD == 0 && m.Step == 0:
		c.note("the points lie on the line to the last digit, which hides their scatter: say by resolution= what one digit is")
	case line.Dof < enoughFreedom:
		c.note("%d points say little of their scatter, which counts %.2g-fold: more points make the uncertainty smaller", line.N, forTwo(1, line.Dof))
	}
	if noReference {
		c.note("the uncertainty of the reference was not given")
	}
	if at < slices.Min(m.Reference) || at > slices.Max(m.Reference) {
		c.note("%.4g %s, which is welded with, lies outside the points", at, m.Unit)
	}
}
