package pass

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/arc"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
)

// A layer is one run of two turns; the next one begins at the entry face, on a
// smaller diameter.
func TestHelix_layers(t *testing.T) {
	for name, counts := range map[string]float64{"counted": 360, "declared": 0} {
		t.Run(name, func(t *testing.T) {
			p := newLathe(job(bore.Helix), counts).play(weld(720), wait(2), cold(-720), weld(720), wait(2)).end()
			require.Len(t, p, 2)
			require.Equal(t, []State{Complete, Complete}, states(p))
			for k := range p {
				require.Equal(t, k+1, p[k].Number)
				require.Equal(t, k+1, p[k].Layer)
				require.InDelta(t, 2, p[k].Course.Planned, 1e-12)
				require.InDelta(t, 2, p[k].Course.Turned, 0.005)
				angle(t, p[k].StartPlace, 0, 0)
				angle(t, p[k].EndPlace, 0, 2)
			}
			require.Less(t, p[1].Diameter, p[0].Diameter)
		})
	}
}

// Anti-clockwise turns are turns too.
func TestHelix_anticlockwise(t *testing.T) {
	p := newLathe(job(bore.Helix), 360).play(weld(-450), wait(2)).end()
	require.InDelta(t, 1.25, *p[0].Turns, 0.005)
	require.InDelta(t, 1.25, p[0].Course.Turned, 0.005)
	require.Positive(t, float64(*p[0].Travel))
	angle(t, p[0].EndPlace, 270, 1.25)
	require.Equal(t, Interrupted, p[0].Course.State)
}

// A run is complete within half a turn of its plan; by a declared rotation, which may
// be 10 % wrong, within a tenth where that is more.
func TestHelix_complete(t *testing.T) {
	for name, x := range map[string]struct {
		counts, length, degrees float64
		state                   State
	}{
		"counted, nearly half a turn short":    {360, 0.03, 3600 - 175, Complete},
		"counted, more":                        {360, 0.03, 3600 - 185, Interrupted},
		"declared, nearly a turn of ten short": {0, 0.03, 3600 - 355, Complete},
		"declared, more":                       {0, 0.03, 3600 - 365, Interrupted},
		"declared, half a turn of two":         {0, 0.006, 720 - 175, Complete},
		"declared, more than that":             {0, 0.006, 720 - 185, Interrupted},
	} {
		t.Run(name, func(t *testing.T) {
			j := job(bore.Helix)
			j.Bore.Length = quantity.Metres(x.length)
			p := newLathe(j, x.counts).play(weld(x.degrees), wait(11)).end()
			require.Equal(t, []State{x.state}, states(p))
		})
	}
}

// An arc that is put out ahead of the end makes the next run go on with it, wherever
// it is struck: here 10 degrees further on, then 20 degrees back.
func TestHelix_resumed(t *testing.T) {
	for name, x := range map[string]struct {
		jog, off float64 // degrees
	}{"a hole": {10, 10}, "welded over": {-20, -20}, "far ahead": {100, 100}} {
		t.Run(name, func(t *testing.T) {
			p := newLathe(job(bore.Helix), 360).play(weld(360), wait(12), cold(x.jog), weld(360-x.jog), wait(12)).end()
			require.Equal(t, []State{Interrupted, Complete}, states(p))
			require.Equal(t, 1, p[1].Course.Resumes)
			require.Zero(t, p[1].Course.Repeats)
			require.InDelta(t, x.off, float64(*p[1].Course.Off), 2)
			require.InDelta(t, 1, p[1].Course.Planned, 0.005)
			require.Equal(t, 1, p[1].Layer)
			require.InDelta(t, float64(p[0].EndPlace.Depth), float64(p[1].StartPlace.Depth), 2e-5)
		})
	}
}

// By a declared rotation it goes on with the last one too, but nobody knows how far
// from it.
func TestHelix_resumedUncounted(t *testing.T) {
	p := newLathe(job(bore.Helix), 0).play(weld(360), wait(12), weld(360), wait(12)).end()
	require.Equal(t, []State{Interrupted, Complete}, states(p))
	require.Equal(t, 1, p[1].Course.Resumes)
	require.Nil(t, p[1].Course.Off)
	require.InDelta(t, 1, p[1].Course.Planned, 0.005)
	angle(t, p[1].StartPlace, 0, 1)
}

// A torch that was turned back to where the run began goes over it again.
func TestHelix_repeated(t *testing.T) {
	p := newLathe(job(bore.Helix), 360).play(weld(360), wait(12), cold(-355), weld(720), wait(12), weld(720), wait(1)).end()
	require.Equal(t, []State{Interrupted, Complete, Complete}, states(p))
	require.Equal(t, 1, p[1].Course.Repeats)
	require.Zero(t, p[1].Course.Resumes)
	require.InDelta(t, -355, float64(*p[1].Course.Off), 2)
	require.InDelta(t, 2, p[1].Course.Planned, 1e-9)
	require.Equal(t, 1, p[1].Layer)
	require.InDelta(t, 0, float64(p[1].StartPlace.Depth), 2e-5)
	require.Equal(t, 2, p[2].Layer)
	require.Zero(t, p[2].Course.Resumes)
	require.Nil(t, p[2].Course.Off)
}

// An arc that burns where the samples end may have gone on.
func TestHelix_cut(t *testing.T) {
	p := newLathe(job(bore.Helix), 360).play(weld(360)).end()
	require.Equal(t, []State{Cut}, states(p))
	p = newLathe(job(bore.Helix), 360).play(weld(360), wait(0.1)).end()
	require.Equal(t, []State{Interrupted}, states(p), "it had gone out")
	p = newLathe(job(bore.Helix), 360).play(weld(700)).end()
	require.Equal(t, []State{Complete}, states(p))
}

// Without the length of the bore nobody knows when a layer is full.
func TestHelix_noLength(t *testing.T) {
	j := job(bore.Helix)
	j.Bore.Length = 0
	p := newLathe(j, 360).play(weld(720), wait(2), weld(90), wait(1)).end()
	require.Len(t, p, 1)
	require.Zero(t, p[0].Layer)
	require.Zero(t, p[0].Course)
	require.InDelta(t, 2.25, *p[0].Turns, 0.005)
	j = job(bore.Helix)
	j.Bore.WornDiameter = 0
	p = newLathe(j, 360).play(weld(720)).end()
	require.Nil(t, p[0].Turns)
	require.Nil(t, p[0].StartPlace)
}

// A diameter that cannot be reckoned stays, and says why.
func TestHelix_noDiameter(t *testing.T) {
	j := job(bore.Helix)
	j.Setpoints.WireSpeed = 0
	l := newLathe(j, 360).play(weld(720), wait(2), weld(720), wait(2))
	require.ErrorIs(t, l.Doubts().Diameter, bore.ErrNotDeclared)
	p := l.end()
	require.Equal(t, p[0].Diameter, p[1].Diameter)
	require.Equal(t, 2, p[1].Layer)
}

// What the source counts late, or not at all, is not what a pass goes by: one that has
// begun by the declared rotation ends by it.
func TestHelix_countsBeginLater(t *testing.T) {
	l := newLathe(job(bore.Helix), 0).play(weld(180))
	l.Source(sourceOf(360))
	l.counts = 360
	l.play(weld(540), wait(2), cold(-720), weld(720), wait(1))
	p := l.end()
	require.Len(t, p, 2)
	require.EqualValues(t, "declared", p[0].TravelBasis)
	require.InDelta(t, 2, *p[0].Turns, 0.005)
	require.EqualValues(t, "measured", p[1].TravelBasis)
	require.InDelta(t, 2, *p[1].Turns, 0.005)
}

// One count a turn, and one every other turn, still make two turns.
func TestHelix_fewCounts(t *testing.T) {
	for _, counts := range []float64{1, 0.5} {
		j := job(bore.Helix)
		j.Bore.Length = 0.036
		p := newLathe(j, counts).play(weld(12*360), wait(1)).end()
		require.Len(t, p, 1)
		require.InDelta(t, 12, *p[0].Turns, 1/counts+0.01, "a count at most is missing")
		require.EqualValues(t, "measured", p[0].TravelBasis)
		require.Equal(t, Complete, p[0].Course.State)
	}
}

// The clock of the source begins below 0.
func TestHelix_beforeTickZero(t *testing.T) {
	l := newLathe(job(bore.Helix), 360)
	l.tick = -7 * s
	p := l.play(weld(720), wait(1)).end()
	require.Len(t, p, 1)
	require.Equal(t, Moment{Tick: -7 * s}, p[0].Start)
	require.Equal(t, Moment{Tick: 12_990 * ms}, p[0].End)
	require.InDelta(t, 2, *p[0].Turns, 0.005)
	require.InDelta(t, 19.99, float64(p[0].ArcTime), 1e-9)
	require.InDelta(t, 39980, float64(p[0].Energy), 1e-6)
}

// Where data is missing while the arc burns, the turns in it are no way of the bead.
func TestHelix_missingData(t *testing.T) {
	l := newLathe(job(bore.Helix), 360).play(weld(180))
	l.tick += s
	l.degrees += 36 // turned unseen, under the arc or not
	l.mark = arc.Break
	p := l.play(weld(180)).end()
	require.Len(t, p, 1)
	require.InDelta(t, 1.1, *p[0].Turns, 0.01)
	require.InDelta(t, 1.0*0.31417, float64(*p[0].Travel), 2e-3)
}

// crossed welds so many turns at 0.95 of the declared rotation, the arc out in a gap
// from 80 to 116 degrees; of the time in it some data may be missing.
func crossed(turns int, missing bool) *lathe {
	j := job(bore.Helix, bore.Gap{From: 80, To: 116})
	j.Bore.Length = 0.003 * quantity.Metres(turns)
	l := newLathe(j, 0)
	slow := func(degrees float64, arc bool) leg { return leg{degrees / 36 / 0.95, degrees, arc} }
	l.play(slow(80, true))
	for turn := range turns {
		l.play(slow(18, false))
		if missing {
			l.mark = arc.Break
		}
		l.play(slow(18, false))
		if turn < turns-1 {
			l.play(slow(324, true))
		}
	}
	return l.play(slow(244, true), wait(11))
}

// The gaps tell the rotation where nothing counts it: 5 turns of 0.095 a second.
func TestHelix_gapRhythm(t *testing.T) {
	p := crossed(5, false).end()
	require.Len(t, p, 1)
	require.Equal(t, heat.TravelDerived, p[0].TravelBasis)
	require.InDelta(t, 0.095, float64(p[0].Rotation.Speed), 2e-4)
	require.InDelta(t, 5, *p[0].Turns, 0.01)
	require.InDelta(t, 5, p[0].Course.Turned, 0.01)
	require.InDelta(t, 4.5*0.31417, float64(*p[0].Travel), 5e-3)
	angle(t, p[0].EndPlace, 0, 5)
	rhythm := p[0].Budget[slices.Index(names(p[0].Budget), heat.Rhythm)]
	require.InDelta(t, float64(p[0].Rotation.Uncertainty/p[0].Rotation.Speed), rhythm.Uncertainty, 1e-12)
	require.Equal(t, Complete, p[0].Course.State)

	p = crossed(5, true).end()
	require.Equal(t, heat.TravelDeclared, p[0].TravelBasis, "nobody knows how long the arc was out")
	require.NotContains(t, names(p[0].Budget), heat.Rhythm)
}

// A rotation by counts is the mean over the pass, wherever on the clock that is.
func TestHelix_rotation(t *testing.T) {
	p := newLathe(job(bore.Helix), 3600).play(wait(7), weld(720), wait(2)).end()
	require.InDelta(t, 0.1, float64(p[0].Rotation.Speed), 1e-4)
	require.InDelta(t, 2, p[0].Course.Turned, 2e-3)
}
