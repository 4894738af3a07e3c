package arc

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// marksOf sends samples through a filter, with what the wire says before a sample, and
// returns what it makes of each.
func marksOf(t *testing.T, f *heldFilter, in []Sample, wire map[int]float64) (marks []Mark) {
	t.Helper()
	take := func(s Sample) {
		require.Equal(t, in[len(marks)].Tick, s.Tick, "in order")
		marks = append(marks, s.Mark)
	}
	for k, s := range in {
		if speed, read := wire[k]; read {
			f.wire.read(speed)
		}
		f.add(s, take)
	}
	f.flush(take)
	require.Len(t, marks, len(in))
	return marks
}

// around are samples: a row of n between two others.
func around(n int) []Sample { return row(row(row(nil, 1, 1, 1), 2, 1, n), 3, 1, 1) }

// A row is what its length and the wire say: none of them from the credit on.
func TestHeldFilter_mayBeHeld(t *testing.T) {
	feeds := map[int]float64{0: 0.1, 4: 0.1, 6: 0.11}
	stops := map[int]float64{0: 0.1, 5: 0.001}
	for name, c := range map[string]struct {
		heldAfter int64
		n         int // samples of the row
		wire      map[int]float64
		last      Mark // of the last sample of the row
	}{
		"chance":                             {20, 8, nil, 0},
		"longer than chance":                 {20, 9, nil, MayBeHeld},
		"as long as none that is held":       {20, 21, nil, MayBeHeld},
		"held":                               {20, 22, nil, Held},
		"never held by its digits alone":     {0, 1000, nil, MayBeHeld},
		"the wire goes on":                   {0, 30, feeds, 0},
		"the wire goes on, values too still": {20, 30, feeds, MayBeHeld},
		"the wire stops":                     {0, 30, stops, Held},
		"the wire stops for a short row":     {0, 8, stops, 0},
		"the wire is read and stands still":  {0, 30, map[int]float64{0: 0.1, 5: 0.1, 9: 0.1}, MayBeHeld},
		"the wire is idle, and flickers":     {0, 30, map[int]float64{5: 0.001, 9: 0.002}, MayBeHeld},
		"the wire slows down to nothing":     {0, 30, map[int]float64{0: 0.1, 4: 0.04, 5: 0.003}, Held},
		"the wire creeps":                    {0, 30, map[int]float64{0: 0.1, 4: 0.04, 5: 0.03}, MayBeHeld},
	} {
		t.Run(name, func(t *testing.T) {
			marks := marksOf(t, &heldFilter{credit: 3, heldAfter: c.heldAfter, mayBeAfter: 7}, around(c.n), c.wire)
			require.Equal(t, c.last, marks[c.n], "the last of the row")
			require.Zero(t, marks[0])
			for _, m := range marks[1:5] {
				require.Zero(t, m, "the credit")
			}
			if c.wire == nil {
				require.Equal(t, c.last, marks[5], "all of the row is the same")
			}
			require.Zero(t, marks[c.n+1], "the row after it")
		})
	}
}

// However long a row is, no more of it waits than a row of chance.
func TestHeldFilter_waitsForNoMoreThanChance(t *testing.T) {
	f := &heldFilter{mayBeAfter: 7}
	for k := range int64(1000) {
		f.add(Sample{Tick: k, V: 20, I: 100}, func(Sample) {})
		require.LessOrEqual(t, len(f.waiting), 8)
	}
}

// What may be held is arc time with all of its energy, and stands beside it.
func TestDetector_mayBeHeldIsArc(t *testing.T) {
	d, e := listen(limits, series.Source{MayBeHeldAfter: 50 * ms, HeldArc: 20 * ms})
	play(d, at(0, 19, 100))
	for k := range int64(10) {
		play(d, at(10+10*k, 20, 100))
	}
	play(d, at(110, 19, 100), at(120, 18, 100))
	sums := d.Sums()
	require.EqualValues(t, 120*ms, sums.Arc)
	require.EqualValues(t, 80*ms, sums.MayBe, "from 30 ms to 110 ms")
	require.InDelta(t, 0.07*2000+0.01*1950, float64(sums.EnergyMayBe()), 1e-9)
	require.Zero(t, sums.Held)
	told := e.but(BucketClosed, IntervalBegan)
	require.Equal(t, Event{Kind: ValuesMayBeHeld, From: 30 * ms, Tick: 40 * ms}, told[0])
	require.Len(t, told, 8)

	before := d.Sums()
	play(d, at(130, 18, 100))
	since := d.Sums()
	since = since.Since(before)
	require.Zero(t, since.MayBe)
	require.Zero(t, since.EnergyMayBe())
}

// What is held and what may be does not hang on how the samples come.
func TestDetector_mayBeHeldInAnyDivision(t *testing.T) {
	var x []Sample
	for k := range int64(400) {
		x = append(x, at(10*k, 20+float64(k*k/1500%7), 100))
	}
	src := series.Source{HeldAfter: 300 * ms, MayBeHeldAfter: 100 * ms, HeldArc: 20 * ms}
	whole, told := listen(limits, src)
	play(whole, x...)
	whole.Flush()
	require.NotZero(t, whole.Sums().MayBe)
	require.NotZero(t, len(told.but(BucketClosed, ValuesMayBeHeld))-2)
	for n := 1; n < 40; n += 3 {
		d, e := listen(limits, src)
		for from := 0; from < len(x); from += n {
			play(d, x[from:min(from+n, len(x))]...)
		}
		d.Flush()
		require.Equal(t, whole.Sums(), d.Sums())
		require.Equal(t, told, e)
	}
}

// The wire is heard by the detector in the order of the ticks.
func TestDetector_WireSpeed(t *testing.T) {
	d, _ := listen(limits, series.Source{MayBeHeldAfter: 50 * ms})
	d.WireSpeed(0.1)
	play(d, at(0, 19, 100), at(10, 20, 100))
	d.WireSpeed(0)
	for k := range int64(10) {
		play(d, at(20+10*k, 20, 100))
	}
	require.EqualValues(t, 10*ms, d.Sums().Arc, "and no more, as the wire stands")
}
