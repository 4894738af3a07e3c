package finding

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/waveform"
)

// wavering returns looks half a second apart at an arc of 80 transfers a second,
// with a little scatter of its own.
func wavering(n int, alter func(k int, s *waveform.Statistics)) []glance {
	var all []glance
	for k := range n {
		s := &waveform.Statistics{
			Transfer: quantity.Hertz(80 + 2*math.Sin(float64(k)*2.1)), ShortShare: quantity.Ratio(0.18 + 0.005*math.Sin(float64(k)*1.7)),
			Voltage95: quantity.Volts(21.9 + 0.05*math.Sin(float64(k)*2.9)), Current: 140, RMS: 144, Known: 0.5,
		}
		if alter != nil {
			alter(k, s)
		}
		all = append(all, glance{start: int64(k) * 5e8, end: int64(k+1) * 5e8, wire: 0.09, waveform: s})
	}
	return all
}

// followed returns what a signature finds in looks, against a clean reference.
func followed(looks []glance) []oddity {
	var good reference
	for _, g := range wavering(100, nil) {
		good.add(g)
	}
	var found []oddity
	s := signature{changed: func(c oddity) { found = append(found, c) }}
	for _, g := range looks {
		s.follow(g, &good)
	}
	s.end()
	return found
}

func TestSignature_nothingInTheGoodArc(t *testing.T) {
	require.Empty(t, followed(wavering(10_000, nil)))
}

func TestSignature_bareArc(t *testing.T) {
	found := followed(wavering(60, func(k int, s *waveform.Statistics) {
		if k >= 30 && k < 38 {
			s.Transfer, s.Voltage95 = 120, 25
		}
	}))
	require.Len(t, found, 1)
	require.True(t, found[0].bareArc())
	require.EqualValues(t, 30*5e8, found[0].from.start)
	require.EqualValues(t, 38*5e8, found[0].to.end)
	require.Equal(t, 25.0, found[0].most[voltage95])
}

// A lasting shift of two deviations is found, and dated to where it began.
func TestSignature_smallShift(t *testing.T) {
	found := followed(wavering(100, func(k int, s *waveform.Statistics) {
		if k >= 40 && k < 80 {
			s.Transfer *= 1 + quantity.Hertz(2.2*leastSpread[transfers])
		}
	}))
	require.Len(t, found, 1)
	require.False(t, found[0].bareArc())
	require.True(t, found[0].signalled[transfers][0])
	require.InDelta(t, 40*5e8, float64(found[0].from.start), 3*5e8)
}

func TestSignature_oneOddLookIsNothing(t *testing.T) {
	require.Empty(t, followed(wavering(60, func(k int, s *waveform.Statistics) {
		if k == 30 || k == 45 {
			s.Transfer, s.Voltage95 = 0, 30
		}
	})))
}

// A reference that drifts gives no limits.
func TestReference_refusesWhatFollowsItself(t *testing.T) {
	var drifting reference
	for _, g := range wavering(100, func(k int, s *waveform.Statistics) { s.Transfer = quantity.Hertz(60 + float64(k)) }) {
		drifting.add(g)
	}
	_, ok := drifting.spread(transfers)
	require.False(t, ok)
	_, ok = drifting.spread(voltage95)
	require.True(t, ok)
}
