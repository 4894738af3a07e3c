package calib

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// voltageChannel is 2.5 mV a code with a zero at -0.1 V: code 8000 is
// 8000*0.0025 - 0.1 = 19.9 V.
var voltageChannel = series.Channel{Name: "voltage", Unit: "V", Scale: 0.0025, Offset: -0.1}

// A calibration of gain 1.02 and offset 0.3 V makes 19.9*1.02 + 0.3 = 20.598 V of
// it: the channel's own offset comes under the gain, the calibration's does not.
// The joined line has scale 0.00255 and offset -0.102 + 0.3 = 0.198.
func TestLine_channelUnderACalibration(t *testing.T) {
	line := LineOf(voltageChannel)
	require.InDelta(t, 19.9, line.Of(8000), 1e-12)
	c := Calibration{Channel: "voltage", Gain: 1.02, Offset: 0.3}
	require.InDelta(t, 20.598, c.Of(line.Of(8000)), 1e-12)
	joined := line.Under(c)
	require.InDelta(t, 0.00255, joined.Scale, 1e-15)
	require.InDelta(t, 0.198, joined.Offset, 1e-15)
	require.InDelta(t, 20.598, joined.Of(8000), 1e-12)
}

func TestLine_inUnitAndInAnother(t *testing.T) {
	require.Equal(t, 7.5, InUnit().Of(7.5))
	require.Equal(t, Line{Scale: 60, Offset: -30}, Line{Scale: 1, Offset: -0.5}.Times(60), "m/s to m/min")
}

// Corrected 24.5 was read as (24.5 + 0.5)/1.25 = 20.
func TestCalibration_readingIsTheReverse(t *testing.T) {
	c := Calibration{Gain: 1.25, Offset: -0.5}
	require.Equal(t, 24.5, c.Of(20))
	require.Equal(t, 20.0, c.Reading(24.5))
}

// Codes 2 and 4 on v = 10*cv + 2 are 22 and 42, codes 3 and 5 on i = 2*ci - 3 are
// 3 and 7. The products are 66 and 294, together 360; those of the codes 6 and
// 20, together 26.
func TestSumOfProducts_byHand(t *testing.T) {
	v, i := Line{Scale: 10, Offset: 2}, Line{Scale: 2, Offset: -3}
	require.Equal(t, 360.0, SumOfProducts(v, i, 2, 26, 6, 8))
	require.Equal(t, 180.0, SumOfProducts(v, i, 1, 13, 3, 4), "of means")
	require.Equal(t, 32.0, v.MeanOf(6, 2))
	require.Equal(t, 5.0, i.MeanOf(8, 2))
}

func TestLine_theLastWithAGainCorrects(t *testing.T) {
	line := Line{Scale: 2, Offset: 1}
	twice, thrice := Calibration{Channel: "voltage", Gain: 2, Offset: 5}, Calibration{Channel: "voltage", Gain: 3, Offset: -1}
	other, none := Calibration{Channel: "current", Gain: 9}, Calibration{Channel: "voltage", Offset: 7}
	voltage := series.Channel{Name: "voltage"}
	fromStart := func(all ...Calibration) (r Register) {
		for _, c := range all {
			r.All = append(r.All, Timed{Calibration: c})
		}
		return r
	}
	require.Equal(t, line, fromStart().Corrected(line, voltage, 0, 0))
	require.Equal(t, line, fromStart(other, none).Corrected(line, voltage, 0, 0))
	require.Equal(t, Line{Scale: 6, Offset: 2}, fromStart(twice, thrice, other, none).Corrected(line, voltage, 0, 0), "not one upon the other")

	timed := Register{All: []Timed{{twice, 1, 50}, {none, 1, 50}, {other, 0, 0}, {thrice, 1, 60}}}
	for _, c := range []struct {
		epoch int
		tick  int64
		want  Line
	}{
		{0, 1e9, line},
		{1, 49, line},
		{1, 50, Line{Scale: 4, Offset: 7}},
		{1, 59, Line{Scale: 4, Offset: 7}},
		{1, 60, Line{Scale: 6, Offset: 2}},
		{2, 0, Line{Scale: 6, Offset: 2}},
	} {
		require.Equal(t, c.want, timed.Corrected(line, voltage, c.epoch, c.tick), "%d at %d", c.epoch, c.tick)
	}
}
