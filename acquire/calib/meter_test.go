package calib

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Three points: mean x 20, mean y 20.2; Sxx = 100+0+100 = 200;
// Sxy = (-10)(-10.1) + 0 + 10*10 = 201; b = 1.005, a = 20.2 - 20.1 = 0.1.
// Residuals -0.05, 0.1, -0.05: sum of squares 0.015, nu = 1, s = 0.1224745.
// u(b) = sqrt(0.015/200) = 0.0086603; u(a) = sqrt(0.015*(1/3 + 400/200)) = 0.1870829.
// At y = 20.2, x = 20: u(line)^2 = 0.015/3 = 0.005; with s^2: sqrt(0.02) = 0.1414214;
// times 13.96773/2 for nu = 1: 0.9876676. With the reference 0.5, p = 6:
// 0.9876676*(1 + (0.5/0.9876676)^6)^(1/6) = 0.9904193.
func TestMeter_byHand(t *testing.T) {
	c, err := Meter{Channel: "voltage", Unit: "V", Reading: []float64{10, 20, 30}, Reference: []float64{10.1, 20.3, 30.2}, ReferenceU: 0.5}.Check()
	require.NoError(t, err)
	wants(t, c, "gain", 1.005, 0.0086603)
	wants(t, c, "offset", 0.1, 0.1870829)
	wants(t, c, "residual_standard_deviation", 0.1224745, 0)
	wants(t, c, "corrected", 20.2, 0.9904193)
	require.Equal(t, "voltage", c.Calibration.Channel)
	require.InDelta(t, 0.9904193/20.2, c.Calibration.Relative, 1e-6)
	require.InDelta(t, 1.005*17+0.1, 17*c.Calibration.Gain+c.Calibration.Offset, 1e-12)
	require.Len(t, c.Notes, 1, "three points say little of their scatter")
	require.Equal(t, "voltage: corrected = reading * 1.005 +0.1 V, from 3 points; at 20.2 V its standard uncertainty is 0.99 V (4.9 %)", c.Sentence)
}

// Two points leave no residuals: whatever the reference is worth, nobody knows how
// far the channel is from its line, and a field instrument stands in.
func TestMeter_twoPoints(t *testing.T) {
	m := Meter{Channel: "current", Unit: "A", Reading: []float64{50, 150}, Reference: []float64{51, 153}, ReferenceRelative: 0.005, Step: 1, At: 200}
	c, err := m.Check()
	require.NoError(t, err)
	wants(t, c, "gain", 1.02, 0)
	wants(t, c, "corrected", 200, 0)
	require.Equal(t, 1.02, c.Calibration.Gain, "it is corrected all the same")
	require.Zero(t, c.Calibration.Relative)
	require.Len(t, c.Notes, 2, "no residuals, and 200 A lies outside: %v", c.Notes)
	require.Contains(t, c.Sentence, "that of a field instrument stands in")
}

// A reference that nobody vouches for makes nothing known, however straight the line.
func TestMeter_noReference(t *testing.T) {
	c, err := Meter{Channel: "current", Unit: "A", Reading: []float64{50, 100, 150, 200}, Reference: []float64{51, 101, 153, 203}}.Check()
	require.NoError(t, err)
	require.Zero(t, c.Calibration.Relative)
	require.Contains(t, c.Notes, "the uncertainty of the reference was not given")
}

// The readings must span a quarter of the largest of them, and the scatter is held
// against the span of the references, not against their size: points on
// 100 + reading/10 that lie 0.1, 0.2 and 0.1 V off it (s = sqrt(0.06) = 0.245 V)
// where the references span 2 V.
func TestMeter_limits(t *testing.T) {
	_, err := Meter{Channel: "voltage", Unit: "V", Reading: []float64{15, 20}, Reference: []float64{15, 20}}.Check()
	require.NoError(t, err, "a span of 5 V in 20 V is just enough")
	_, err = Meter{Channel: "voltage", Unit: "V", Reading: []float64{-5, -6}, Reference: []float64{-5, -6}}.Check()
	require.EqualError(t, err, "check meter: the readings of voltage span 1 V; at least 1.5 V are needed")
	_, err = Meter{Channel: "voltage", Unit: "V", Reading: []float64{10, 20, 30}, Reference: []float64{100.9, 102.2, 102.9}}.Check()
	require.EqualError(t, err, "check meter: the points of voltage lie 0.245 V off the line, where they span 2 V")
	// A span of 3 V allows 0.3 V of scatter.
	_, err = Meter{Channel: "voltage", Unit: "V", Reading: []float64{10, 20, 30}, Reference: []float64{100.4, 102.2, 103.4}}.Check()
	require.NoError(t, err)
}

// Welding at the lowest or the highest point is not outside of them.
func TestMeter_notesOfWhereItIsWelded(t *testing.T) {
	for at, notes := range map[float64]int{50.9: 2, 51: 1, 153: 1, 153.1: 2} {
		c, err := Meter{Channel: "current", Unit: "A", Reading: []float64{50, 150}, Reference: []float64{51, 153}, ReferenceU: 1, At: at}.Check()
		require.NoError(t, err)
		require.Len(t, c.Notes, notes, "at %g A: %v", at, c.Notes)
	}
}

// A step of 0.6 V leaves 0.6/sqrt(3) = 0.3464102 V of a value that is read after six
// points without residuals, p = 3: (0.3464102^3 + 0.1^3)^(1/3) = 0.3491655.
func TestMeter_stepHidesTheScatter(t *testing.T) {
	m := Meter{Channel: "voltage", Unit: "V", ReferenceU: 0.1, Step: 0.6}
	for k := range 6 {
		m.Reading, m.Reference = append(m.Reading, 10+6*float64(k)), append(m.Reference, 10+6*float64(k))
	}
	c, err := m.Check()
	require.NoError(t, err)
	wants(t, c, "corrected", 25, 0.3491655)
	m.Step = 0
	c, err = m.Check()
	require.NoError(t, err)
	require.Zero(t, c.Calibration.Relative, "nobody knows what the digits hide")
	require.Equal(t, []string{"the points lie on the line to the last digit, which hides their scatter: say by resolution= what one digit is"}, c.Notes)
}

// With five degrees of freedom the scatter counts for what it is, or nearly.
func TestMeter_notesOfFewPoints(t *testing.T) {
	m := Meter{Channel: "current", Unit: "A", ReferenceU: 1}
	for n := 1; n <= 8; n++ {
		m.Reading, m.Reference = append(m.Reading, float64(10*n)), append(m.Reference, float64(10*n+n%2))
		if n < 2 {
			continue
		}
		c, err := m.Check()
		require.NoError(t, err)
		want := 0
		if n < 7 {
			want = 1
		}
		require.Len(t, c.Notes, want, "%d points: %v", n, c.Notes)
	}
}

// Twice that of one degree of freedom: 13.96773/2.
func TestMeter_saysByHowMuchFewPointsCount(t *testing.T) {
	c, err := Meter{Channel: "voltage", Unit: "V", Reading: []float64{10, 20, 30}, Reference: []float64{10, 21, 30}, ReferenceU: 1}.Check()
	require.NoError(t, err)
	require.Equal(t, []string{"3 points say little of their scatter, which counts 7-fold: more points make the uncertainty smaller"}, c.Notes)
}

// References that lie on a line through zero leave nothing but round-off, which is
// neither an offset nor a knowledge of the scatter.
func TestMeter_roundOffIsNoFigure(t *testing.T) {
	c, err := Meter{Channel: "voltage", Unit: "V", Reading: []float64{10.1, 20.2, 30.3}, Reference: []float64{10, 20, 30}}.Check()
	require.NoError(t, err)
	require.Zero(t, c.Calibration.Offset)
	require.InDelta(t, 1/1.01, c.Calibration.Gain, 1e-12)
	require.Zero(t, c.Calibration.Relative)
	require.Contains(t, c.Sentence, "its uncertainty is not known")
}
