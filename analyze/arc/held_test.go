package arc

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// filtered sends samples through a filter and returns which came out, in order, and
// of which of them it says that they are held.
func filtered(t *testing.T, f *heldFilter, in []Sample) (held []bool) {
	t.Helper()
	take := func(s Sample) {
		require.Equal(t, in[len(held)].Tick, s.Tick, "in order")
		held = append(held, s.Mark&Held != 0)
	}
	for _, s := range in {
		f.add(s, take)
	}
	f.flush(take)
	require.Len(t, held, len(in))
	return held
}

// row is n samples of the same value, one a tick.
func row(in []Sample, v, i float64, n int) []Sample {
	for range n {
		in = append(in, Sample{Tick: int64(len(in)), V: v, I: i})
	}
	return in
}

// A row is credit for 3 ticks, and chance up to 7; the first one was not seen to
// begin, and is neither.
func TestHeldFilter_rows(t *testing.T) {
	for name, x := range map[string]struct {
		n    int // samples of the row; the first stands 0 ticks
		from int // the first of them that is held; n is none
	}{
		"as long as the credit": {4, 4},
		"chance":                {8, 8},
		"held":                  {9, 4},
		"long":                  {30, 4},
	} {
		t.Run(name, func(t *testing.T) {
			f := &heldFilter{credit: 3, heldAfter: 7}
			held := filtered(t, f, row(row(row(nil, 1, 1, 1), 2, 1, x.n), 3, 1, 1))
			for k, h := range held {
				require.Equal(t, k >= 1+x.from && k < 1+x.n, h, k)
			}
		})
	}
}

func TestHeldFilter_fromTheFirstSampleOn(t *testing.T) {
	f := &heldFilter{credit: 3, heldAfter: 7}
	require.NotContains(t, filtered(t, f, row(nil, 5, 1, 8)), true, "no longer than chance")
	f = &heldFilter{credit: 3, heldAfter: 7}
	held := filtered(t, f, row(row(nil, 5, 1, 9), 6, 1, 5))
	require.NotContains(t, held[:9], false, "no credit")
	require.NotContains(t, held[9:], true)
}

// Both voltage and current must stand still.
func TestHeldFilter_oneOfThemMoves(t *testing.T) {
	f := &heldFilter{heldAfter: 2}
	var in []Sample
	for k := range 10 {
		in = row(in, 20, 100+float64(k), 1)
	}
	for k := range 10 {
		in = row(in, 20+float64(k), 100, 1)
	}
	require.NotContains(t, filtered(t, f, in), true)
}

// A source with an arc flag needs no such telling.
func TestHeldFilter_flagged(t *testing.T) {
	for _, mark := range []Mark{FlagOn, FlagOff} {
		f := &heldFilter{heldAfter: 2}
		in := row(nil, 20, 100, 9)
		for k := range in {
			in[k].Mark = mark
		}
		require.NotContains(t, filtered(t, f, in), true)
	}
}

// Values are fresh every 20 ms until 100 ms; then the arc goes out, and the last ones
// stand until a second is over: 20 ms of that are arc, and 870 ms are held.
func TestDetector_heldValuesAreNoArc(t *testing.T) {
	d, e := listen(limits, series.Source{HeldAfter: 50 * ms, HeldArc: 20 * ms})
	var x []Sample
	for k := range int64(100) {
		fresh := float64(min(k, 10) / 2)
		x = append(x, at(10*k, 20+fresh, 100))
	}
	require.Equal(t, len(x), d.Take(x))
	require.EqualValues(t, 120*ms, d.Sums().Arc)
	require.Zero(t, d.Sums().Held, "the arc is not back")
	play(d, at(1000, 30, 100), at(1010, 31, 100))
	require.EqualValues(t, 130*ms, d.Sums().Arc)
	require.EqualValues(t, 870*ms, d.Sums().Held)
	require.Equal(t, []Event{
		{Kind: IntervalBegan}, {Kind: ArcOut, Tick: 120 * ms}, {Kind: IntervalEnded, Tick: 120 * ms}, {Kind: IntervalBegan, Tick: 1000 * ms},
	}, e.but(BucketClosed, ValuesHeld, Cold))
	require.Equal(t, Event{Kind: ValuesHeld, From: 120 * ms, Tick: 130 * ms}, e.but(BucketClosed)[2])
}

// What waits is taken as it is where the samples end, and a row after that is a new
// one, which was not seen to begin.
func TestDetector_Flush(t *testing.T) {
	d, _ := listen(limits, series.Source{HeldAfter: 50 * ms, HeldArc: 0})
	play(d, burning(0), burning(40))
	require.False(t, d.Lit(), "they may be held")
	d.Flush()
	require.True(t, d.Lit())
	require.EqualValues(t, 40*ms, d.Sums().Arc)
	play(d, burning(50), burning(100))
	d.Flush()
	require.EqualValues(t, 100*ms, d.Sums().Arc, "50 ms from 50 ms on")
	d.Flush()
	require.EqualValues(t, 100*ms, d.Sums().Arc, "each is taken once")
	require.Zero(t, d.Skipped())
}

// A source that is no longer looked at for held values leaves none waiting.
func TestDetector_Source_takesWhatWaits(t *testing.T) {
	d, _ := listen(limits, series.Source{HeldAfter: 50 * ms})
	play(d, burning(0), burning(40))
	d.Source(series.Source{HeldAfter: 60 * ms})
	require.Zero(t, d.Sums().Arc, "it may still show that they are held")
	d.Source(series.Source{})
	require.EqualValues(t, 40*ms, d.Sums().Arc)
	play(d, burning(50))
	require.EqualValues(t, 50*ms, d.Sums().Arc)
	require.Zero(t, d.Skipped())
}
