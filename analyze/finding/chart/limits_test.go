package chart

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Two values are the fewest that have a range, and a spread: 3 and 7 have the range 4,
// and the deviation 4/sqrt(2).
func TestIndividuals_ofTwoValues(t *testing.T) {
	c := individuals([]float64{3})
	require.True(t, math.IsNaN(c.MeanRange()))
	require.True(t, math.IsNaN(c.Moments().Deviation()))
	c = individuals([]float64{3, 7})
	require.Equal(t, 4.0, c.MeanRange())
	require.InDelta(t, 4/1.128, c.Sigma(), 1e-15)
	require.InDelta(t, 4*3.267, c.RangeLimit(), 1e-14)
	require.InDelta(t, 4/math.Sqrt2, c.Moments().Deviation(), 1e-15)
	low, high := c.Limits()
	require.InDelta(t, 5-12/1.128, low, 1e-14)
	require.InDelta(t, 5+12/1.128, high, 1e-14)
}

// A sum on the decision limit does not signal yet, and one that comes to 0 has no run.
func TestCUSUM_onItsLimits(t *testing.T) {
	c := CUSUM{Target: 10, Slack: 1, Decision: 4}
	require.False(t, c.Add(13), "2")
	require.False(t, c.Add(13), "4, the limit")
	require.Equal(t, 4.0, c.High)
	require.Equal(t, 2, c.HighRun)
	require.True(t, c.Add(11.5), "4.5")
	require.Equal(t, 3, c.HighRun)
	require.False(t, c.Add(6.5), "the high sum comes to 0, the low one to 2.5")
	require.Zero(t, c.High)
	require.Zero(t, c.HighRun)
	require.Equal(t, 2.5, c.Low)
	require.Equal(t, 1, c.LowRun)
	require.False(t, c.Add(7.5), "4, the limit")
	require.True(t, c.Add(8.5), "4.5")
	require.Equal(t, 3, c.LowRun)
	require.False(t, c.Add(13.5), "and back to 0 exactly")
	require.Zero(t, c.Low)
	require.Zero(t, c.LowRun)
}

// Before the first value the average is the start, and its limits are nowhere else.
func TestEWMA_beforeTheFirstValue(t *testing.T) {
	c := EWMA{Lambda: 0.3, Start: 50, Sigma: 2, Width: 3}
	require.Equal(t, 50.0, c.Average())
	c.Add(60)
	require.InDelta(t, 53, c.Average(), 1e-14, "0.3*60 + 0.7*50")
	low, high := c.Limits()
	require.InDelta(t, 50+3*2*0.3, high, 1e-13, "of one value: Lambda*Width*Sigma")
	require.InDelta(t, 50-3*2*0.3, low, 1e-13)
}

// Limits are widened from an autocorrelation beyond 2/sqrt(n) on, and refused from 0.8 on.
// Four values have r1 = 0.25 where they are 0, 1, 2, 3: (1.5*0.5 - 0.25 + 1.5*0.5)/5.
func TestMoments_wideningAtItsBounds(t *testing.T) {
	m := of([]float64{0, 1, 2, 3})
	require.InDelta(t, 0.25, m.Autocorrelation(), 1e-15)
	m.n = 64 // as if so many values had it: 2/sqrt(64) is 0.25
	f, ok := m.Widening()
	require.True(t, ok)
	require.Equal(t, 1.0, f, "on the bound of chance")
	m.n = 65
	f, ok = m.Widening()
	require.True(t, ok)
	require.InDelta(t, math.Sqrt(1.25/0.75), f, 1e-14)
	m.n, m.s, m.m2 = 100, 0.8, 1
	_, ok = m.Widening()
	require.False(t, ok, "0.8 is refused")
	m.s = math.Nextafter(0.8, 0)
	f, ok = m.Widening()
	require.True(t, ok)
	require.InDelta(t, 3, f, 1e-12, "three times as wide")
}
