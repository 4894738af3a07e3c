package pass

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/arc"
	"arctally/analyze/bore"
)

// Steps at arc-like values that follow one another are one held time; in another
// epoch, or later, begins another.
func TestDoubts_held(t *testing.T) {
	var d Doubts
	d.held(0, 0, 10)
	d.held(0, 10, 25)
	require.Equal(t, []HeldTime{{Start: Moment{Tick: 0}, End: 25}}, d.Held.Listed)
	require.Equal(t, Moment{Tick: 25}, d.Held.Last())
	d.held(0, 30, 40)
	d.reaches = false
	d.held(1, 40, 45)
	require.Equal(t, []HeldTime{{Moment{}, 25}, {Moment{Tick: 30}, 40}, {Moment{Epoch: 1, Tick: 40}, 45}}, d.Held.Listed)
	require.Equal(t, 3, d.Held.Count)
	require.EqualValues(t, 40, d.Held.Time)
	require.Equal(t, Moment{Epoch: 1, Tick: 45}, d.Held.Last())
	require.EqualValues(t, 40+5, d.Elapsed, "from 0 to 40, and 5 on another clock")
}

// Of a bad capture the first 200 are listed, and all are counted.
func TestDoubts_listed(t *testing.T) {
	var d Doubts
	for k := range int64(300) {
		d.held(0, 10*k, 10*k+5)
	}
	d.held(0, 2995, 2999)
	require.Len(t, d.Held.Listed, 200)
	require.Equal(t, HeldTime{Moment{Tick: 1990}, 1995}, d.Held.Listed[199])
	require.Equal(t, 300, d.Held.Count)
	require.EqualValues(t, 1504, d.Held.Time)
	require.Equal(t, Moment{Tick: 2999}, d.Held.Last())
}

// The last that is listed grows as well.
func TestDoubts_lastListed(t *testing.T) {
	var d Doubts
	for k := range int64(200) {
		d.held(0, 10*k, 10*k+5)
	}
	d.held(0, 1995, 1999)
	require.EqualValues(t, 1999, d.Held.Listed[199].End)
}

// The arc burns from 1 s to 3 s and from 5 s to 6 s, and values are held until 8 s: all
// that looks like an arc reaches over 7 s, 3 s of it are one.
func TestDoubts_ofASplitter(t *testing.T) {
	l := newLathe(job(bore.Helix), 0)
	at := func(tenths int64, v, i float64, mark arc.Mark) {
		l.Samples([]arc.Sample{{Tick: tenths * 100 * ms, V: v, I: i, Mark: mark}})
	}
	for k := range int64(81) {
		switch {
		case k >= 10 && k <= 30 || k >= 50 && k <= 60:
			at(k, 20, 100, 0)
		case k > 60:
			at(k, 20, 100, arc.Held)
		default:
			at(k, 0, 0, 0)
		}
	}
	at(79, 0, 0, 0)
	l.Finish()
	d := l.Doubts()
	require.EqualValues(t, 1, d.Skipped)
	require.EqualValues(t, int64(7*s), d.Elapsed)
	require.EqualValues(t, int64(3*s), d.Arc)
	require.EqualValues(t, 2*s, d.Held.Time)
	require.Equal(t, []HeldTime{{Moment{Tick: 6 * s}, 8 * s}}, d.Held.Listed)
	require.Zero(t, d.CarriedAngles)
}

// Nothing joins the clocks of two epochs: what was open ends, the angle is carried on
// and told, and passes go on counting.
func TestSplitter_Epoch(t *testing.T) {
	l := newLathe(job(bore.Helix), 360).play(weld(180))
	l.Epoch(1)
	require.Len(t, l.passes, 1)
	require.Equal(t, Cut, l.passes[0].Course.State)
	l.tick, l.any = 100*s, false
	_, any := l.Now()
	require.False(t, any)
	l.play(weld(90), wait(1))
	l.EndBy("Inspector 1", Moment{Epoch: 1, Tick: 102*s + 800*ms})
	p := l.play(wait(1)).end()
	require.Len(t, p, 2)
	require.Equal(t, Moment{Epoch: 1, Tick: 100 * s}, p[1].Start)
	require.Equal(t, Moment{Epoch: 1, Tick: 102*s + 490*ms}, p[1].End)
	require.Equal(t, 2, p[1].Number)
	require.Equal(t, 1, p[1].Course.Resumes)
	require.InDelta(t, 0, float64(*p[1].Course.Off), 2, "as if the torch had not turned meanwhile")
	require.Equal(t, "Inspector 1", p[1].EndedBy)
	d := l.Doubts()
	require.Equal(t, 1, d.CarriedAngles)
	require.EqualValues(t, int64(4990*ms+2490*ms), d.Elapsed, "not the time between the clocks")
	l.Epoch(2)
	l.Epoch(3)
	require.Equal(t, 2, l.Doubts().CarriedAngles, "in the last one nothing was counted")
}

// What waits to show whether it is held ends with the samples, and so does the pass.
func TestSplitter_Finish_heldValues(t *testing.T) {
	l := newLathe(job(bore.Straight), 0)
	l.Source(series.Source{HeldAfter: s})
	l.play(burn(0.5))
	require.Zero(t, l.Doubts().Arc)
	p := l.end()
	require.Len(t, p, 1)
	require.InDelta(t, 0.49, float64(p[0].ArcTime), 1e-9)
	require.Equal(t, State(""), p[0].Course.State)
	l = newLathe(job(bore.Helix), 0)
	l.Source(series.Source{HeldAfter: s})
	require.Equal(t, Cut, l.play(burn(0.5)).end()[0].Course.State, "it burned to the last")
}
