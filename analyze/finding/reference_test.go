package finding

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/waveform"
)

// A reference that drifts gives no limits.
func TestReference_refusesWhatFollowsItself(t *testing.T) {
	var drifting reference
	for _, g := range wavering(100, func(k int, s *waveform.Statistics) { s.Transfer = quantity.Hertz(60 + float64(k)) }) {
		drifting.add(g, waveform.Dip)
	}
	_, ok := drifting.spread(transfers)
	require.False(t, ok)
	_, ok = drifting.spread(voltage95)
	require.True(t, ok)
}

// Where the good looks show less, the least spread stands in; where they show more it is
// their own, widened where each follows the one before it.
func TestReference_spread(t *testing.T) {
	s, ok := steadily().spread(transfers)
	require.True(t, ok)
	require.InDelta(t, 6.4, s, 1e-12)
	require.InDelta(t, 80+19.2, steadily().limit(transfers, +1), 1e-12)
	require.InDelta(t, 80-19.2, steadily().limit(transfers, -1), 1e-12)
	var r reference
	for k := range 20 { // pairs at 60 and at 100: r1 = (10*400 - 9*400)/(20*400), less than 2/sqrt(20)
		r.add(glance{waveform: &waveform.Statistics{Transfer: quantity.Hertz(60 + 40*(k/2%2)), ShortShare: 0.2, Voltage95: 22}}, waveform.Dip)
	}
	s, ok = r.spread(transfers)
	require.True(t, ok)
	require.InDelta(t, 20*math.Sqrt(20.0/19), s, 1e-12)
	r = reference{}
	for k := range 60 { // six at 60, six at 100: r1 = (50*400 - 9*400)/(60*400) = 0.683
		r.add(glance{waveform: &waveform.Statistics{Transfer: quantity.Hertz(60 + 40*(k/6%2)), ShortShare: 0.2, Voltage95: 22}}, waveform.Dip)
	}
	s, ok = r.spread(transfers)
	require.True(t, ok)
	require.InDelta(t, 20*math.Sqrt(60.0/59)*math.Sqrt((1+41.0/60)/(1-41.0/60)), s, 1e-9)
}

// Only what has a wire speed says anything of the melting law.
func TestReference_law(t *testing.T) {
	var r reference
	r.add(glance{waveform: &waveform.Statistics{Current: 140}}, waveform.Dip)
	require.False(t, r.law.Known())
	r.add(glance{wire: 0.112, waveform: &waveform.Statistics{Current: 140}}, waveform.Dip)
	require.InDelta(t, 0.0008, r.law.Slope(), 1e-15)
	var both reference
	both.join(r)
	both.join(r)
	require.Equal(t, 4, both.count())
	require.InDelta(t, 0.0008, both.law.Slope(), 1e-15)
}
