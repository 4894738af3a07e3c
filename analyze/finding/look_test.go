package finding

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/analyze/waveform"
)

// Four stubs in half a second are eight a second.
func TestStubs(t *testing.T) {
	require.Equal(t, 8.0, stubs(glance{waveform: &waveform.Statistics{Stubs: 4, Known: 0.5}}, nil))
}

// 140 A melt 0.112 m/s of a wire of 0.8 mm/s for an ampere: of 0.14 m/s that is four fifths.
func TestSlip(t *testing.T) {
	good := new(reference)
	good.law.Add(0.08, &waveform.Statistics{Current: 100})
	g := glance{wire: 0.14, waveform: &waveform.Statistics{Current: 140}}
	require.InDelta(t, 0.2, slip(g, good), 1e-12)
	g.waveform.Stubs = 1
	require.Zero(t, slip(g, good), "a stub carries current and melts nothing")
	require.Zero(t, slip(glance{waveform: &waveform.Statistics{Current: 140}}, good), "nothing is known of the wire")
}

// A streak is above its limit, look after look, and ends with a look on it.
func TestStreak(t *testing.T) {
	var ended []streak
	s := &streak{limit: 2, report: func(s *streak) { ended = append(ended, *s) }}
	for k, value := range []float64{2, 3, 5, 4, 2, 1, 7} {
		s.follow(glance{start: int64(k), end: int64(k + 1)}, value)
	}
	require.Len(t, ended, 1)
	require.EqualValues(t, 1, ended[0].first.start)
	require.EqualValues(t, 4, ended[0].last.end)
	require.Equal(t, 5.0, ended[0].worst)
	require.Equal(t, 3, ended[0].count)
	s.close()
	require.Len(t, ended, 2)
	require.Equal(t, 7.0, ended[1].worst, "a new streak knows nothing of the one before")
	s.close()
	require.Len(t, ended, 2)
}

// 1 m/s for 1 s and 3 m/s for 3 s are 2.5 m/s; where nothing was read, what was read
// last still holds.
func TestFeed(t *testing.T) {
	var f feed
	f.add(1, 1)
	f.add(3, 3)
	require.Equal(t, 2.5, f.take())
	require.Equal(t, 3.0, f.take())
	f.add(2, 5)
	require.Equal(t, 2.0, f.take())
}
