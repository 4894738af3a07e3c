package calib

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// outcome returns a number of a check, and its uncertainty.
func outcome(t *testing.T, c *Check, name string) (value, u float64) {
	t.Helper()
	for _, o := range c.Outcomes {
		if o.Name == name {
			if o.U != nil {
				u = *o.U
				require.Positive(t, u, name)
			}
			return o.Value, u
		}
	}
	require.Fail(t, "no outcome", name)
	return 0, 0
}

// wants holds an outcome against figures that were worked out by hand.
func wants(t *testing.T, c *Check, name string, value, u float64) {
	t.Helper()
	got, gotU := outcome(t, c, name)
	assert.InDelta(t, value, got, 1e-6*max(1, math.Abs(value)), name)
	assert.InDelta(t, u, gotU, 1e-5*max(1, u), "u of "+name)
}

// Three points: mean x 20, mean y 20.2; Sxx = 100+0+100 = 200;
// Sxy = (-10)(-10.1) + 0 + 10*10 = 201; b = 1.005, a = 20.2 - 20.1 = 0.1.
// Residuals -0.05, 0.1, -0.05: sum of squares 0.015, nu = 1, s = 0.1224745.
// u(b) = sqrt(0.015/200) = 0.0086603; u(a) = sqrt(0.015*(1/3 + 400/200)) = 0.1870829.
// At y = 20.2, x = 20: u(line)^2 = 0.015/3 = 0.005; with s^2: sqrt(0.02) = 0.1414214;
// times 13.96773/2 for nu = 1: 0.9876676; with the reference 0.05: 0.9889324.
func TestMeter_byHand(t *testing.T) {
	c, err := Meter{Channel: "voltage", Unit: "V", Reading: []float64{10, 20, 30}, Reference: []float64{10.1, 20.3, 30.2}, ReferenceU: 0.05}.Check()
	require.NoError(t, err)
	wants(t, c, "gain", 1.005, 0.0086603)
	wants(t, c, "offset", 0.1, 0.1870829)
	wants(t, c, "residual_standard_deviation", 0.1224745, 0)
	wants(t, c, "corrected", 20.2, 0.9889324)
	require.Equal(t, "voltage", c.Calibration.Channel)
	require.InDelta(t, 0.9889324/20.2, c.Calibration.Relative, 1e-6)
	require.InDelta(t, 1.005*17+0.1, 17*c.Calibration.Gain+c.Calibration.Offset, 1e-12)
	require.Len(t, c.Notes, 1, "three points say little of their scatter")
	require.Equal(t, "voltage: corrected = reading * 1.005 +0.1 V, from 3 points; at 20.2 V its standard uncertainty is 0.99 V (4.9 %)", c.Sentence)
}

// Two points leave no residuals: 0.5 % of the reference is all that is known.
func TestMeter_twoPoints(t *testing.T) {
	m := Meter{Channel: "current", Unit: "A", Reading: []float64{50, 150}, Reference: []float64{51, 153}, ReferenceRelative: 0.005, At: 200}
	c, err := m.Check()
	require.NoError(t, err)
	wants(t, c, "gain", 1.02, 0)
	wants(t, c, "corrected", 200, 1)
	require.InDelta(t, 0.005, c.Calibration.Relative, 1e-12)
	require.Len(t, c.Notes, 2, "no residuals, and 200 A lies outside: %v", c.Notes)
	m.ReferenceRelative = 0
	c, err = m.Check()
	require.NoError(t, err)
	require.Zero(t, c.Calibration.Relative, "nothing is known: the stand-in must not be replaced")
	require.Contains(t, c.Sentence, "that of a field instrument stands in")
}

// Readings 0.10, 0.12, 0.14 V at 0, 10, 20 s: mean 0.12, s 0.02, drift 0.002 V/s.
// u^2 = (0.02/sqrt(3) * 4.526537/2)^2 + (0.002*20/sqrt(12))^2 = 0.0261338^2 + 0.0115470^2 = 0.0285713^2.
// The gain 1.02 stays: offset -0.1224; at 17.5 V sqrt(0.005^2 + (1.02*0.0285713/17.5)^2) = 0.0052700.
func TestZero_byHand(t *testing.T) {
	z := Zero{
		Channel: "voltage", Unit: "V", Readings: []float64{0.10, 0.12, 0.14}, Seconds: []float64{0, 10, 20}, At: 17.5,
		InForce: Calibration{Channel: "voltage", Gain: 1.02, Offset: 0.3, Relative: 0.005},
	}
	c, err := z.Check()
	require.NoError(t, err)
	wants(t, c, "zero", 0.12, 0.0285713)
	wants(t, c, "standard_deviation", 0.02, 0)
	drift, _ := outcome(t, c, "drift")
	require.InDelta(t, 0.002, drift, 1e-12)
	require.InDelta(t, -0.1224, c.Calibration.Offset, 1e-12)
	require.Equal(t, 1.02, c.Calibration.Gain)
	require.InDelta(t, 0.00527, c.Calibration.Relative, 1e-6)
	require.Equal(t, "voltage reads +0.12 V with the arc off, standard deviation 0.02 V, drift +0.04 V over 20 s; that is taken off from now on", c.Sentence)

	z.Seconds = []float64{100, 110, 120} // a drift is over the time of the readings, not since the clock began
	c, err = z.Check()
	require.NoError(t, err)
	wants(t, c, "zero", 0.12, 0.0285713)

	z.InForce, z.Seconds = Calibration{}, nil
	c, err = z.Check()
	require.NoError(t, err)
	require.Equal(t, Calibration{Channel: "voltage", Gain: 1, Offset: c.Calibration.Offset}, *c.Calibration)
	require.Len(t, c.Notes, 1, "a zero proves no gain")
}

// 2 m in 21 s: 0.0952381 m/s = 5.7142857 m/min. uL = 0.001/sqrt(3) = 0.00057735 m,
// ut = 0.3/sqrt(3) = 0.1732051 s; sqrt(0.000288675^2 + 0.008247861^2) = 0.8252911 %.
// For 0.5 %: sqrt((0.00057735/0.0952381)^2 + 0.1732051^2)/0.005 = 34.66223 s.
// Reading 5.5 m/min: gain 5.7142857/5.5 = 1.0389610.
func TestWireRun_byHand(t *testing.T) {
	w := WireRun{Length: []float64{2}, Time: []float64{21}, LengthLimits: DefaultLengthLimits, TimeLimits: DefaultTimeLimits, Wanted: DefaultWanted}
	c, err := w.Check()
	require.NoError(t, err)
	wants(t, c, "speed", 5.7142857, 0.008252911*5.7142857)
	wants(t, c, "run_for", 34.66223, 0)
	require.Nil(t, c.Calibration, "there is nothing to correct")
	require.Len(t, c.Outcomes, 2, "no set-point is declared")
	require.Equal(t, "the wire runs at 5.714 m/min, standard uncertainty 0.83 %; for 0.5 % run it for 34.7 s, 3.3 m", c.Sentence)
	w.Reading, w.Set = []float64{5.5 / 60}, 5.5/60
	c, err = w.Check()
	require.NoError(t, err)
	wants(t, c, "gain", 1.0389610, 0.008252911*1.0389610)
	wants(t, c, "beyond_set_point", 3.8961039, 0.8252911)
	require.InDelta(t, 0.008252911, c.Calibration.Relative, 1e-8)

	// A run of the length of time that was asked for has the uncertainty that was wanted.
	long, _ := outcome(t, c, "run_for")
	w.Time, w.Length = []float64{long}, []float64{long * 2 / 21}
	w.Reading = nil
	c, err = w.Check()
	require.NoError(t, err)
	speed, u := outcome(t, c, "speed")
	require.InDelta(t, DefaultWanted, u/speed, 1e-12)
}

// Three runs against 5.5 m/min: 5.6, 5.7 and 5.8 m/min. The gain is
// 5.7/5.5; s = 0.1/60 m/s, nu = 2, u(b) = 0.1/(5.5*sqrt(3)) = 0.0104973, over the
// gain 0.0101289, times 4.526537/2: 0.0229244. Tools: 10 s at +-0.3 s and
// 0.95 m at +-1 mm: sqrt(0.0173205^2 + 0.000607737^2) = 0.0173312. Together 0.0287383.
func TestWireRun_severalRuns(t *testing.T) {
	w := WireRun{
		Length: []float64{5.6 / 6, 5.7 / 6, 5.8 / 6}, Time: []float64{10, 10, 10}, Reading: []float64{5.5 / 60, 5.5 / 60, 5.5 / 60},
		LengthLimits: 0.001, TimeLimits: 0.3, Wanted: 0.005,
	}
	c, err := w.Check()
	require.NoError(t, err)
	require.InDelta(t, 5.7/5.5, c.Calibration.Gain, 1e-12)
	require.InDelta(t, 0.0287383, c.Calibration.Relative, 1e-6)
	// The runs themselves scatter alike: 0.1/sqrt(3)/5.7 = 0.0101289, of 5.7 m/min.
	wants(t, c, "speed", 5.7, 0.0287383*5.7)

	// Two of them, 5.6 and 5.8: half their difference, 0.1/5.7 = 0.0175439, times
	// 13.96773/2 for nu = 1: 0.1225239; with the tools 0.1237436.
	w.Length, w.Time, w.Reading = []float64{5.6 / 6, 5.8 / 6}, w.Time[:2], nil
	c, err = w.Check()
	require.NoError(t, err)
	wants(t, c, "speed", 5.7, 0.1237436*5.7)
}

// A factor of 2 is still taken for a gain; beyond it a unit was mistaken.
func TestWireRun_farFromTheReading(t *testing.T) {
	for reading, fine := range map[float64]bool{0.4999: false, 0.5: true, 2: true, 2.0001: false} {
		c, err := WireRun{Length: []float64{10}, Time: []float64{10}, Reading: []float64{reading}, Wanted: 0.005}.Check()
		require.Equal(t, fine, err == nil, "a reading of %g for 1 m/s", reading)
		if fine {
			require.Equal(t, 1/reading, c.Calibration.Gain)
		}
	}
}

// 3 turns in 144.9 s: 0.02070393 1/s. uN = 1/360/sqrt(3) = 0.00160375 turns, over 3
// 0.000534584; ut = 0.1732051/144.9 = 0.001195342; together 0.001309431.
// Declared 1.25 rpm = 0.02083333: -0.6211180 %, more than twice that. With the
// diameter 0.01/sqrt(3): sqrt(0.001309431^2 + 0.006211180^2 + 0.005773503^2) = 0.00858060.
func TestTimedTurn_byHand(t *testing.T) {
	r := TimedTurn{Turns: []float64{3}, Time: []float64{144.9}, TurnLimits: DefaultTurnLimits, TimeLimits: DefaultTimeLimits, Declared: 1.25 / 60}
	c, err := r.Check()
	require.NoError(t, err)
	wants(t, c, "rotation", 0.02070393, 0.001309431*0.02070393)
	wants(t, c, "beyond_declared", -0.6211180, 0.1309431)
	require.Equal(t, "the torch turns at 1.242 rpm (0.020704 1/s), standard uncertainty 0.13 %; "+
		"that is -0.62 % from the declared 1.25 rpm, more than the doubt: mend the job file or the drive", c.Sentence)
	require.Equal(t, "travel", c.Calibration.Channel)
	require.InDelta(t, 0.00858060, c.Calibration.Relative, 1e-7)
	r.Counted = []float64{2.998}
	c, err = r.Check()
	require.NoError(t, err)
	wants(t, c, "beyond_counted", 100*(3/2.998-1), 0.1309431)
	require.Contains(t, c.Sentence, "counted 1.241 rpm, which is no more than the doubt")
	// 0.2 % off is more than the standard uncertainty, and less than twice it.
	r.Counted = []float64{2.994}
	c, err = r.Check()
	require.NoError(t, err)
	require.Contains(t, c.Sentence, "that is +0.2 % from the counted 1.24 rpm, which is no more than the doubt")
}

// 3 turns in 144 s and 5 in 250 s: together 8/394 = 0.02030457 1/s; by themselves
// 1/48 and 1/50, half their difference over their mean is 1/49, times 13.96773/2:
// 0.1425279. uN = 0.00160375/4 = 0.000400938, ut = 0.1732051/197 = 0.000879213;
// together 0.1425312.
func TestTimedTurn_severalRuns(t *testing.T) {
	r := TimedTurn{Turns: []float64{3, 5}, Time: []float64{144, 250}, TurnLimits: DefaultTurnLimits, TimeLimits: DefaultTimeLimits}
	c, err := r.Check()
	require.NoError(t, err)
	wants(t, c, "rotation", 0.02030457, 0.1425312*0.02030457)
	require.Len(t, c.Outcomes, 1, "there is nothing to hold it against")
	require.Len(t, c.Notes, 1)
}

// Four angles: mean 15.2, A = (15.65-14.85)/2 = 0.4, B = (15.25-15.05)/2 = 0.1;
// amount sqrt(0.17) = 0.4123106, wall farthest at atan2(0.1, 0.4) = 14.0362 deg.
// Residuals +-0.05, nu = 1, s = 0.1; times 13.96773/2: 0.6983865; with 0.1/sqrt(3):
// 0.7007690; the normal equations give 1/2 for A and B: 0.4955185 mm.
func TestCentring_byHand(t *testing.T) {
	k := Centring{Angle: []float64{0, 90, 180, 270}, Distance: []float64{15.65, 15.25, 14.85, 15.05}, DistanceLimits: DefaultDistanceLimits}
	c, err := k.Check()
	require.NoError(t, err)
	wants(t, c, "mean_distance", 15.2, 0.7007690/2)
	wants(t, c, "off_centre", 0.4123106, 0.4955185)
	wants(t, c, "off_toward", 194.0362435, 0.4955185/0.4123106*180/math.Pi)
	wants(t, c, "residual_standard_deviation", 0.1, 0)
	require.Equal(t, "the torch is centred as far as these readings tell: 0.41 mm off, standard uncertainty 0.5 mm", c.Sentence)
	require.Nil(t, c.Calibration)
}

// Five angles, one of them between two others: along 45 deg the normal equations
// of mean and harmonic are [5 1; 1 3], across it 2. Their inverse is 3/14 for the
// mean, 5/14 along and 1/2 across. Without a scatter and with limits of
// 0.1*sqrt(3) mm, u of a reading is 0.1 mm: off along 45 deg by 0.8 mm the amount
// has 0.1*sqrt(5/14), the direction 0.1*sqrt(1/2)/0.8; off across it, the reverse.
func TestCentring_anglesThatAreNotEven(t *testing.T) {
	along, across := 0.1*math.Sqrt(5.0/14), 0.1*math.Sqrt(0.5)
	for _, c := range []struct{ farthest, toward, uAmount, uToward float64 }{
		{45, 225, along, across},
		{135, 315, across, along},
		{225, 45, along, across},
		{315, 135, across, along},
	} {
		k := Centring{Angle: []float64{0, 90, 180, 270, 45}, DistanceLimits: 0.1 * math.Sqrt(3)}
		for _, a := range k.Angle {
			k.Distance = append(k.Distance, 15+0.8*math.Cos((a-c.farthest)*math.Pi/180))
		}
		got, err := k.Check()
		require.NoError(t, err)
		wants(t, got, "mean_distance", 15, 0.1*math.Sqrt(3.0/14))
		wants(t, got, "off_centre", 0.8, c.uAmount)
		wants(t, got, "off_toward", c.toward, c.uToward/0.8*180/math.Pi)
	}
}

// 120 deg without a reading is as far as it may be, also over zero.
func TestCentring_widestStep(t *testing.T) {
	for _, angles := range [][]float64{{0, 60, 120, 240}, {60, 120, 180, 300}} {
		_, err := Centring{Angle: angles, Distance: []float64{15, 15, 15.1, 15}}.Check()
		require.NoError(t, err)
	}
}

// Where there is no offset at all its direction means nothing, and is not known.
func TestCentring_noOffsetAtAll(t *testing.T) {
	h := Centring{Angle: []float64{0, 90, 180, 270}, Distance: make([]float64, 4), DistanceLimits: 0.1}.fit()
	require.Zero(t, h.amount)
	require.Zero(t, h.uAmount)
	require.Zero(t, h.uToward)
}

func TestWrap(t *testing.T) {
	for degrees, want := range map[float64]float64{0: 0, 360: 0, 359: 359, -1: 359, 725: 5, -725: 355} {
		require.Equal(t, want, wrap(degrees), "%g", degrees)
	}
	require.Equal(t, 0, whole(359.5))
	require.Equal(t, 359, whole(359.4))
	require.Equal(t, 0, whole(0.4))
}

// The direction and amount of a known offset come back, wherever it points.
func TestCentring_findsAKnownOffset(t *testing.T) {
	for _, toward := range []float64{0, 45, 133, 270, 359} {
		k := Centring{DistanceLimits: 0.05}
		for a := 0.0; a < 360; a += 30 {
			k.Angle = append(k.Angle, a-720)
			k.Distance = append(k.Distance, 15-0.8*math.Cos((a-toward)*math.Pi/180)+0.01*math.Cos(4*a*math.Pi/180))
		}
		c, err := k.Check()
		require.NoError(t, err)
		amount, u := outcome(t, c, "off_centre")
		direction, _ := outcome(t, c, "off_toward")
		require.InDelta(t, 0.8, amount, 1e-9)
		require.Less(t, u, 0.03)
		require.InDelta(t, 0, math.Remainder(direction-toward, 360), 1e-9)
		require.Contains(t, c.Sentence, "move the bar that way")
	}
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

// Exactly a tenth of what is welded with is still a zero.
func TestZero_limit(t *testing.T) {
	_, err := Zero{Readings: []float64{1, 1, 1}, At: 10}.Check()
	require.NoError(t, err)
	_, err = Zero{Channel: "voltage", Unit: "V", Readings: []float64{-1, -1.5, -2}, At: -10}.Check()
	require.EqualError(t, err, "check zero: voltage reads -1.5 V, more than 1 V: that is no zero")
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

func TestCheck_refusesFigures(t *testing.T) {
	type check interface{ Check() (*Check, error) }
	two := []float64{1, 2}
	for name, given := range map[string]struct {
		check check
		kind  Kind
	}{
		"one point":         {Meter{Reading: two[:1], Reference: two[:1]}, TooFew},
		"unpaired":          {Meter{Reading: two, Reference: two[:1]}, Unpaired},
		"points too close":  {Meter{Reading: []float64{17, 18}, Reference: []float64{17, 18}}, TooClose},
		"one reading":       {Meter{Reading: []float64{17, 17}, Reference: two}, TooClose},
		"nothing read":      {Meter{Reading: []float64{0, 0}, Reference: two}, TooClose},
		"no gain":           {Meter{Reading: two, Reference: []float64{3, 3}}, NegativeGain},
		"negative gain":     {Meter{Reading: two, Reference: []float64{2, 1}}, NegativeGain},
		"no line":           {Meter{Reading: []float64{1, 2, 3}, Reference: []float64{1, 9, 4}}, Scattered},
		"two zeros":         {Zero{Readings: two}, TooFew},
		"times missing":     {Zero{Readings: []float64{0, 0, 0}, Seconds: two}, Unpaired},
		"arc still on":      {Zero{Readings: []float64{60, 60, 60}, At: 17.5}, NotAtZero},
		"no wire":           {WireRun{}, TooFew},
		"wire unpaired":     {WireRun{Length: two, Time: two[:1]}, Unpaired},
		"no time":           {WireRun{Length: []float64{1}, Time: []float64{0}, Wanted: 1}, Impossible},
		"nothing wanted":    {WireRun{Length: []float64{1}, Time: []float64{1}}, Impossible},
		"reading in m/min":  {WireRun{Length: []float64{2}, Time: []float64{20}, Reading: []float64{5.5}, Wanted: 0.005}, Impossible},
		"no turn":           {TimedTurn{}, TooFew},
		"turns unpaired":    {TimedTurn{Turns: two, Time: two[:1]}, Unpaired},
		"turned back":       {TimedTurn{Turns: []float64{-1}, Time: []float64{48}}, Impossible},
		"three angles":      {Centring{Angle: []float64{0, 120, 240}, Distance: []float64{1, 1, 1}}, TooFew},
		"one angle often":   {Centring{Angle: []float64{0, 360, 720, 120, 240}, Distance: []float64{1, 1, 1, 1, 1}}, TooFew},
		"half a turn":       {Centring{Angle: []float64{0, 60, 120, 180}, Distance: []float64{1, 1, 1, 1}}, TooClose},
		"121 deg":           {Centring{Angle: []float64{0, 60, 120, 241, 300}, Distance: []float64{1, 1, 1, 1, 1}}, TooClose},
		"121 deg over zero": {Centring{Angle: []float64{61, 120, 180, 300}, Distance: []float64{1, 1, 1, 1}}, TooClose},
		"angles unpaired":   {Centring{Angle: two, Distance: two[:1]}, Unpaired},
		"distance negative": {Centring{Angle: []float64{0, 90, 180, 270}, Distance: []float64{1, 1, -1, 1}}, Impossible},
	} {
		t.Run(name, func(t *testing.T) {
			c, err := given.check.Check()
			require.Nil(t, c)
			var refused *Error
			require.ErrorAs(t, err, &refused)
			require.Equal(t, given.kind, refused.Kind, err)
			require.NotEmpty(t, refused.Hint())
		})
	}
}

func TestCheck_comesBackFromItsText(t *testing.T) {
	c, err := Meter{Channel: "voltage", Unit: "V", Reading: []float64{10, 20}, Reference: []float64{10, 20}}.Check()
	require.NoError(t, err)
	c.Done, c.By, c.Instrument = time.Date(2026, 5, 4, 7, 40, 0, 0, time.UTC), "Operator 1", "meter 3"
	text, err := c.Encode()
	require.NoError(t, err)
	back, err := DecodeCheck(text)
	require.NoError(t, err)
	require.Equal(t, c, back)
	for subject, title := range map[Subject]string{
		ZeroCheck: "zero of voltage", MeterCheck: "meter of voltage",
		WireCheck: "wire-speed", RotationCheck: "rotation", CentringCheck: "centring",
	} {
		back.Subject = subject
		require.Equal(t, title, back.Title())
	}
	_, err = DecodeCheck("no JSON")
	require.ErrorContains(t, err, "check: ")
}

func TestAtLeast(t *testing.T) {
	require.Equal(t, 2.0, atLeast(2, 2))
	require.Zero(t, atLeast(2, -1.9))
	require.Equal(t, -2.1, atLeast(2, -2.1))
}

func TestFit_refusesOnePlace(t *testing.T) {
	_, ok := Fit([]float64{5, 5}, []float64{1, 2})
	require.False(t, ok)
	_, ok = FitThroughZero([]float64{0, 0}, []float64{1, 2})
	require.False(t, ok)
	require.PanicsWithValue(t, "calib: readings and references differ in number", func() { Fit([]float64{1}, nil) })
}

func TestInForceAt_theLaterOfOnePlaceRules(t *testing.T) {
	all := []Timed{
		{Calibration{Channel: "voltage", Gain: 3}, 1, 50},
		{Calibration{Channel: "voltage", Gain: 1}, 0, 0},
		{Calibration{Channel: "current", Gain: 9}, 0, 0},
		{Calibration{Channel: "voltage", Gain: 2}, 0, 0},
	}
	gain := func(epoch int, tick int64) float64 {
		for _, c := range InForceAt(all, epoch, tick) {
			if c.Channel == "voltage" {
				return c.Gain
			}
		}
		return 0
	}
	require.Zero(t, gain(0, -1))
	require.Equal(t, 2.0, gain(0, 1e9))
	require.Equal(t, 2.0, gain(1, 49))
	require.Equal(t, 3.0, gain(1, 50))
	require.Equal(t, 3.0, gain(2, 0))
	require.Len(t, InForceAt(all, 2, 0), 2)
}
