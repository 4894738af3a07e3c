package arc

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// window is one of 100 ms that begins at a time in ms, so many ms of it in arc at
// 2000 W; 1 mm of wire is fed in it.
func window(start, inArc int64) Window {
	return Window{Start: start * ms, End: (start + 100) * ms, Arc: inArc * ms, Energy: 2 * float64(inArc), V: 20, I: 100, Wire: 1e-3}
}

// Two whole windows and one that is half in arc, one after another:
//
//	arc time = 100 + 100 + 50 ms = 250 ms
//	energy   = 200 + 200 + 100 J = 500 J
//
// The half one tells no means.
func TestWindow_sums(t *testing.T) {
	d, e := listen(limits, series.Source{})
	half := window(200, 50)
	half.V, half.I = 10, 50
	for _, w := range []Window{window(0, 100), window(100, 100), half} {
		d.Window(w)
	}
	s := d.Sums()
	require.EqualValues(t, 250*ms, s.Arc)
	require.InDelta(t, 500, float64(s.Energy()), 1e-9)
	require.InDelta(t, 2000, float64(*s.Power()), 1e-9)
	v, i := s.Means()
	require.InDelta(t, 20, float64(*v), 1e-12)
	require.InDelta(t, 100, float64(*i), 1e-12)
	require.InDelta(t, 3e-3, s.Wire, 1e-15)
	require.True(t, d.Lit())
	require.EqualValues(t, 300*ms, d.Last())
	told(t, e, Event{Kind: IntervalBegan})
	require.Equal(t, []Bucket{
		{Start: 0, End: 100 * ms, Arc: 100 * ms, V: 2000e6, I: 10000e6, Energy: 200e9},
		{Start: 100 * ms, End: 200 * ms, Arc: 100 * ms, V: 2000e6, I: 10000e6, Energy: 200e9},
		{Start: 200 * ms, End: 300 * ms, Partial: 50 * ms, Energy: 100e9},
	}, e.buckets)

	d.Window(window(300, 0))
	require.EqualValues(t, 250*ms, d.Sums().Arc)
	require.InDelta(t, 3e-3, d.Sums().Wire, 1e-15, "what is fed without an arc makes no bead")
	d.Finish()
	require.Equal(t, []Event{{Kind: ArcOut, Tick: 300 * ms}, {Kind: IntervalEnded, Tick: 300 * ms}}, e.but(BucketClosed)[1:])
}

// Windows whose means are their own: the integrals are means times arc time.
//
//	volts = (20 V * 100 ms + 24 V * 50 ms) / 150 ms = 64/3 V
func TestWindow_means(t *testing.T) {
	d, _ := listen(limits, series.Source{})
	d.Window(window(0, 100))
	d.Window(Window{Start: 100 * ms, End: 150 * ms, Arc: 50 * ms, V: 24, I: 130})
	s := d.Sums()
	v, i := s.Means()
	require.InDelta(t, 64.0/3, float64(*v), 1e-12)
	require.InDelta(t, 110, float64(*i), 1e-12)
}

// Time missing between two windows is arc time of neither; where it is no longer
// than the hold, the arc interval goes on over it.
func TestWindow_missingBetween(t *testing.T) {
	for name, x := range map[string]struct {
		start, late int64
		events      []Event
	}{
		"50 ms":         {150, 0, []Event{{Kind: ArcOut, Tick: 100}, {Kind: ArcBack, From: 100, Tick: 150, Missing: 50}}},
		"the hold":      {400, 0, []Event{{Kind: ArcOut, Tick: 100}, {Kind: ArcBack, From: 100, Tick: 400, Missing: 300}}},
		"over the hold": {401, 0, []Event{{Kind: ArcOut, Tick: 100}, {Kind: IntervalEnded, Tick: 100}, {Kind: IntervalBegan, Tick: 401, Missing: 301}}},
	} {
		t.Run(name, func(t *testing.T) {
			d, e := listen(limits, series.Source{})
			d.Window(window(0, 100))
			d.Window(window(x.start, 100))
			told(t, e, append([]Event{{Kind: IntervalBegan}}, x.events...)...)
			require.EqualValues(t, 200*ms, d.Sums().Arc)
			require.EqualValues(t, (x.start-100)*ms, d.Sums().Missing)
			require.Zero(t, d.Missing())
			require.Zero(t, d.Skipped())
		})
	}
}

// A window that says so does not follow, though no time is missing.
func TestWindow_doesNotFollow(t *testing.T) {
	broken := window(100, 100)
	broken.Break = true
	d, e := listen(limits, series.Source{})
	d.Window(window(0, 100))
	d.Window(broken)
	told(t, e, Event{Kind: IntervalBegan}, Event{Kind: ArcOut, Tick: 100}, Event{Kind: ArcBack, From: 100, Tick: 100})
	require.Zero(t, d.Sums().Missing)
}

// A window that reaches back into the last, or into samples, is not used: no time is
// counted twice. What it alone could have told is missing.
func TestWindow_overlaps(t *testing.T) {
	d, _ := listen(limits, series.Source{})
	d.Window(window(0, 100))
	d.Window(window(90, 100))
	d.Window(window(190, 100))
	require.EqualValues(t, 200*ms, d.Sums().Arc)
	require.EqualValues(t, 90*ms, d.Sums().Missing)
	require.EqualValues(t, 1, d.Skipped())

	d, _ = listen(limits, series.Source{})
	play(d, burning(0), burning(50))
	d.Window(window(40, 100))
	require.EqualValues(t, 50*ms, d.Sums().Arc)
	require.EqualValues(t, 1, d.Skipped())
}

func TestWindow_beforeTheLatestTick(t *testing.T) {
	d, e := listen(limits, series.Source{})
	d.Window(window(0, 100))
	d.Window(window(0, 100))
	d.Window(window(-50, 100))
	require.EqualValues(t, 2, d.Skipped())
	require.EqualValues(t, 100*ms, d.Sums().Arc)
	told(t, e, Event{Kind: IntervalBegan})
}

// A first window that ends at tick 0, or before it, is the first all the same.
func TestWindow_beforeTickZero(t *testing.T) {
	d, e := listen(limits, series.Source{})
	d.Window(window(-200, 100))
	d.Window(window(-100, 100))
	d.Window(window(0, 100))
	require.EqualValues(t, 300*ms, d.Sums().Arc)
	require.Zero(t, d.Skipped())
	require.Zero(t, d.Sums().Missing)
	told(t, e, Event{Kind: IntervalBegan, Tick: -200})
	require.Len(t, e.buckets, 3)
}

// Quiet windows end the arc interval once the arc is out for longer than the hold.
func TestWindow_quiet(t *testing.T) {
	d, e := listen(limits, series.Source{})
	for _, w := range []Window{window(0, 100), window(100, 0), window(200, 0), window(300, 0)} {
		d.Window(w)
	}
	told(t, e, Event{Kind: IntervalBegan}, Event{Kind: ArcOut, Tick: 100})
	require.True(t, d.Open(), "out for 300 ms")
	d.Window(window(400, 0))
	require.False(t, d.Open())
	require.Equal(t, []Event{{Kind: IntervalEnded, Tick: 100 * ms}, {Kind: Cold, Tick: 500 * ms}}, e.but(BucketClosed)[2:])
	require.EqualValues(t, 100*ms, e.buckets[0].Arc)

	d, e = listen(limits, series.Source{})
	for _, w := range []Window{window(0, 100), window(100, 0), window(200, 100)} {
		d.Window(w)
	}
	told(t, e, Event{Kind: IntervalBegan}, Event{Kind: ArcOut, Tick: 100}, Event{Kind: ArcBack, From: 100, Tick: 200})
	require.EqualValues(t, 200*ms, d.Sums().Arc)
}

func TestWindow_coldBeforeAnyArc(t *testing.T) {
	d, e := listen(limits, series.Source{})
	d.Window(window(0, 0))
	d.Window(window(150, 0))
	told(t, e, Event{Kind: Cold, Tick: 100}, Event{Kind: Cold, Tick: 250, Missing: 50})
	require.EqualValues(t, 50*ms, d.Missing())
}

// Windows shorter than a bucket share one.
func TestWindow_shorterThanABucket(t *testing.T) {
	d, e := listen(limits, series.Source{})
	for k := range int64(5) {
		d.Window(Window{Start: 4 * k * ms, End: 4 * (k + 1) * ms, Arc: 4 * ms, Energy: 8, V: 20, I: 100})
	}
	require.Equal(t, []Bucket{{Start: 0, End: 12 * ms, Arc: 12 * ms, V: 240e6, I: 1200e6, Energy: 24e9}, {Start: 12 * ms, End: 20 * ms, Arc: 8 * ms, V: 160e6, I: 800e6, Energy: 16e9}}, e.buckets)
}
