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
	At                            float64 // what is welded with; 0 takes the middle of the points
}

// Check returns the line, and a calibration with the relative standard
// uncertainty of a corrected value y at what is welded with:
//
//	u(y)^2 = u'(s^2 + u(y(x))^2)^2 + u(ref)^2
//
// of the residuals and the line, enlarged for few points, and of the reference,
// which is common to all points. Two points leave no residuals: then the
// reference alone counts, and without it the uncertainty is not known.
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
		return fail(TooClose, MeterCheck, "the readings of %s span %.4g %s; at least %.4g %s are needed", m.Channel, span, m.Unit, leastSpan*largest, m.Unit)
	}
	return nil
}

func (m Meter) result(line Fitted) *Check {
	c := &Check{Subject: MeterCheck, Channel: m.Channel}
	c.figure("reading", m.Unit, m.Reading...)
	c.figure("reference", m.Unit, m.Reference...)
	at := m.At
	if at == 0 {
		at = stat.Mean(m.Reference, nil)
	}
	_, ofLine := line.At((at - line.Offset) / line.Gain)
	ofReference := combined(m.ReferenceU, m.ReferenceRelative*at)
	u := combined(forTwo(combined(line.ResidualSD, ofLine), line.Dof), ofReference)
	c.outcome("gain", "", line.Gain, line.GainU)
	c.outcome("offset", m.Unit, line.Offset, line.OffsetU)
	c.outcome("residual_standard_deviation", m.Unit, line.ResidualSD, 0)
	c.outcome("corrected", m.Unit, at, u)
	c.Calibration = &Calibration{Channel: m.Channel, Gain: line.Gain, Offset: line.Offset, Relative: u / math.Abs(at)}
	m.notes(c, line, at, ofReference)
	known := "its uncertainty is not known, and that of a field instrument stands in"
	if u > 0 {
		known = fmt.Sprintf("at %.4g %s its standard uncertainty is %.2g %s (%.2g %%)", at, m.Unit, u, m.Unit, 100*u/math.Abs(at))
	}
	c.Sentence = fmt.Sprintf("%s: corrected = reading * %.5g %+.3g %s, from %d points; %s", m.Channel, line.Gain, line.Offset, m.Unit, line.N, known)
	return c
}

func (m Meter) notes(c *Check, line Fitted, at, ofReference float64) {
	switch {
	case line.Dof == 0:
		c.note("two points leave no residuals: take a third one to see whether %s is straight", m.Channel)
	case line.Dof < enoughFreedom:
		c.note("%d points say little of their scatter, which counts %.2g-fold: more points make the uncertainty smaller", line.N, forTwo(1, line.Dof))
	}
	if ofReference == 0 {
		c.note("the uncertainty of the reference was not given, and does not count")
	}
	if at < slices.Min(m.Reference) || at > slices.Max(m.Reference) {
		c.note("%.4g %s, which is welded with, lies outside the points", at, m.Unit)
	}
}
