package arc

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// Buckets end with the first sample at or after each 10 ms of the clock.
func TestBucket_endsByTheClock(t *testing.T) {
	d, e := listen(limits, series.Source{})
	play(d, burning(3), burning(9), burning(10), burning(19), burning(21), burning(25))
	require.Len(t, e.buckets, 2)
	require.Equal(t, Bucket{Start: 3 * ms, End: 10 * ms, Arc: 7 * ms, V: 140e6, I: 700e6, Energy: 14000e6}, e.buckets[0])
	require.Equal(t, Bucket{Start: 10 * ms, End: 21 * ms, Arc: 11 * ms, V: 220e6, I: 1100e6, Energy: 22000e6}, e.buckets[1])
	d.Finish()
	require.Equal(t, Bucket{Start: 21 * ms, End: 25 * ms, Arc: 4 * ms, V: 80e6, I: 400e6, Energy: 8000e6}, e.buckets[2])
	require.Equal(t, Event{Kind: BucketClosed, Tick: 25 * ms}, e.events[len(e.events)-2], "before its interval ends")
}

// A bucket goes on over a brief arc-out, and has the steps in arc alone.
func TestBucket_overABriefArcOut(t *testing.T) {
	d, e := listen(limits, series.Source{})
	play(d, burning(0), burning(2), out(3), burning(6), burning(8), out(9), out(15))
	require.Equal(t, []Bucket{{Start: 0, End: 15 * ms, Arc: 4 * ms, V: 80e6, I: 400e6, Energy: 8000e6}}, e.buckets)
}

// An arc interval of one sample has no bucket.
func TestBucket_ofNoTime(t *testing.T) {
	d, e := listen(limits, series.Source{})
	play(d, burning(7))
	d.Finish()
	require.Empty(t, e.buckets)
	require.Len(t, e.events, 3)
}

// Before tick 0 the clock runs on evenly: nothing is lost where the ticks change
// their sign, and no bucket is longer than two of 10 ms.
func TestBucket_beforeTickZero(t *testing.T) {
	d, e := listen(limits, series.Source{})
	for k := int64(-35); k <= 25; k++ {
		play(d, burning(k))
	}
	d.Finish()
	var arc int64
	energy := 0.0
	for k, b := range e.buckets {
		arc, energy = arc+b.Arc, energy+b.Energy
		require.Equal(t, b.End-b.Start, b.Arc)
		require.LessOrEqual(t, b.Arc, int64(20*ms))
		if k > 0 {
			require.Equal(t, e.buckets[k-1].End, b.Start)
		}
	}
	require.EqualValues(t, 60*ms, arc)
	require.InDelta(t, 2000*60e6, energy, 1)
	s := d.Sums()
	require.InDelta(t, 120, float64(s.Energy()), 1e-9)
}
