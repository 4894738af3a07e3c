package calib

import (
	"testing"

	"github.com/stretchr/testify/require"
)

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

// Exactly a tenth of what is welded with is still a zero.
func TestZero_limit(t *testing.T) {
	_, err := Zero{Readings: []float64{1, 1, 1}, At: 10}.Check()
	require.NoError(t, err)
	_, err = Zero{Channel: "voltage", Unit: "V", Readings: []float64{-1, -1.5, -2}, At: -10}.Check()
	require.EqualError(t, err, "check zero: voltage reads -1.5 V, more than 1 V: that is no zero")
}
