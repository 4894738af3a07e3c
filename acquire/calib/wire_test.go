package calib

import (
	"testing"

	"github.com/stretchr/testify/require"
)

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
