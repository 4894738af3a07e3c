package calib

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

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
