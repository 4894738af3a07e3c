package finding

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/arc"
	"arctally/analyze/pass"
)

// all are the means that were kept of the epoch of the weld.
func all(w *weld) (kept []JudgedMeans) {
	judged := w.Judged()
	for m := range judged.During(3, math.MinInt64, math.MaxInt64) {
		kept = append(kept, *m)
	}
	return kept
}

// However many there are, each is found in the time that it belongs to.
func TestJudged_During(t *testing.T) {
	var judged Judged
	const many = 2*perSheet + 5
	for k := range int64(many) {
		judged.Put(JudgedMeans{Epoch: int(k / (many - 3)), Tick: k, Power: float64(k)})
	}
	at := int64(perSheet - 1)
	for m := range judged.During(0, at, perSheet+3) {
		require.Equal(t, JudgedMeans{Tick: at, Power: float64(at)}, *m)
		at++
	}
	require.EqualValues(t, perSheet+3, at)
	for m := range judged.During(1, 0, math.MaxInt64) {
		require.EqualValues(t, many-3, m.Tick)
		break
	}
}

// The means that are kept are those that were held against the limits, some of each
// averaging time; where the arc was out the line between them breaks.
func TestJudged(t *testing.T) {
	w := newWeld(testJob())
	w.burn(2)
	w.rest(0.1)
	w.volts = 18.5
	w.burn(1)
	w.end()
	kept := all(w)
	require.InDelta(t, (1.5+0.5)/0.5*keptOf, len(kept), 3, "none before a whole averaging time has gone, then four of each")
	require.Equal(t, JudgedMeans{Epoch: 3, Tick: 12.25e9, Voltage: 17.5, Current: 140, Power: kept[0].Power}, kept[0], "at the middle of the first half second")
	breaks := 0
	for k, m := range kept {
		want := 17.5
		if m.Tick > 14e9 {
			want = 18.5
		}
		require.InDelta(t, want, m.Voltage, 1e-9, "no mean over an arc that was out")
		require.InDelta(t, 140, m.Current, 1e-9)
		if k > 0 && !m.Joins {
			breaks++
		}
	}
	require.Equal(t, 1, breaks)
}

// The kept means are the ones of the judge, reading by reading.
func TestJudged_isWhatWasJudged(t *testing.T) {
	w := newWeld(testJob())
	seen := 0
	for k := range int64(400) {
		v := 17 + float64(k%7)
		w.Burn(&pass.Bucket{Bucket: arc.Bucket{Start: w.tick, End: w.tick + step, Arc: step, V: v * step, I: 140 * step, Energy: v * 140 * step}})
		w.tick += step
		if kept := all(w); len(kept) > seen {
			seen = len(kept)
			last := kept[seen-1]
			require.Equal(t, w.Means().Voltage.Value, last.Voltage)
			require.Equal(t, w.Means().Current.Value, last.Current)
			require.InDelta(t, 140*last.Voltage, last.Power, 1e-6)
			require.Equal(t, w.tick-25e7, last.Tick)
		}
	}
	require.Greater(t, seen, 5)
}

// Without an averaging time nothing is judged, and nothing is kept.
func TestJudged_withoutATime(t *testing.T) {
	job := testJob()
	job.Procedure.Judge.AverageOver = quantity.Seconds(0)
	w := newWeld(job)
	w.burn(2)
	w.end()
	require.Empty(t, all(w))
}

// What is put away, and what is left, are together what is kept otherwise; no more than a sheet is left.
func TestJudged_putAway(t *testing.T) {
	burn := func(w *weld) {
		for k := range 60 {
			w.volts = 17 + float64(k)/60
			w.burn(25)
			w.rest(1)
		}
		w.end()
	}
	whole, parted := newWeld(testJob()), newWeld(testJob())
	burn(whole)
	want := all(whole)
	require.Greater(t, len(want), 2*perSheet)
	var got []JudgedMeans
	parted.PutAway(func(sheet []JudgedMeans) {
		require.Len(t, sheet, perSheet)
		got = append(got, sheet...)
	})
	burn(parted)
	left := all(parted)
	require.Less(t, len(left), perSheet)
	require.Equal(t, want, append(got, left...))
}
