package pass

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/arc"
	"arctally/analyze/bore"
)

// On a plate the arc may be out for a second within a pass, and a step longer makes
// another one.
func TestRest_straight(t *testing.T) {
	for name, x := range map[string]struct {
		out    float64
		passes int
	}{"a second": {0.99, 1}, "longer": {1, 2}} {
		t.Run(name, func(t *testing.T) {
			l := newLathe(job(bore.Straight), 0).play(burn(2), wait(x.out), burn(2))
			require.Len(t, l.end(), x.passes)
			if x.passes == 1 {
				require.Equal(t, 2, l.passes[0].Intervals)
				require.Equal(t, []string{"begin 1", "rest", "resume", "rest", "end 1"}, l.told)
				require.Equal(t, []string{"1.000 from 0.199 to 0.299"}, l.resume)
			} else {
				require.Equal(t, []string{"begin 1", "rest", "end 1", "begin 2", "rest", "end 2"}, l.told)
			}
		})
	}
}

// The pass ends while the arc is still out, as soon as it is out for too long.
func TestRest_endsInTheCold(t *testing.T) {
	l := newLathe(job(bore.Straight), 0).play(burn(2), wait(1))
	require.Empty(t, l.passes)
	l.play(wait(0.01))
	require.Len(t, l.passes, 1)
	require.Equal(t, Moment{Tick: 1990 * ms}, l.passes[0].End)
	require.Empty(t, l.passes[0].EndedBy)
}

// In a bore it may be out for 10 s, or for one and a half times of the longest gap.
func TestLayers_longestRest(t *testing.T) {
	gap := bore.Gap{From: 0, To: 144}
	for name, x := range map[string]struct {
		pattern bore.Pattern
		speed   float64
		gaps    []bore.Gap
		rest    float64
	}{
		"a plate":              {bore.Straight, 0, nil, 1},
		"no gap":               {bore.Helix, 0.01, nil, 10},
		"a gap passed quickly": {bore.Helix, 0.1, []bore.Gap{gap}, 10},
		"a gap passed slowly":  {bore.Helix, 0.02, []bore.Gap{gap, {From: 200, To: 210}}, 30}, // 144/360 of 50 s, and half of it more
		"rings":                {bore.Rings, 0.02, []bore.Gap{gap}, 30},
		"strokes stay outside": {bore.SegmentReversing, 0.02, []bore.Gap{gap}, 10},
		"no rotation declared": {bore.Helix, 0, []bore.Gap{gap}, 10},
	} {
		t.Run(name, func(t *testing.T) {
			j := job(x.pattern, x.gaps...)
			j.Rotation.Speed = quantity.TurnsPerSecond(x.speed)
			l := newLayers(j)
			require.InDelta(t, x.rest*s, float64(l.mayRest), 1)
		})
	}
}

// Time without data is no time without an arc; but after a minute of it nobody knows.
func TestRest_missingData(t *testing.T) {
	for name, x := range map[string]struct {
		missing int64
		passes  int
	}{"a minute": {60 * s, 1}, "longer": {60*s + 1, 2}} {
		t.Run(name, func(t *testing.T) {
			l := newLathe(job(bore.Helix), 0)
			l.Samples([]arc.Sample{{Tick: 0, V: 20, I: 100}, {Tick: s, V: 20, I: 100}, {Tick: s + x.missing, V: 20, I: 100, Mark: arc.Break}})
			require.Len(t, l.end(), x.passes)
			if x.passes == 1 {
				require.Equal(t, []string{"0.000 from 0.100 to 6.100"}, l.resume)
				require.InDelta(t, 60, float64(l.passes[0].GapTime), 1e-9)
			} else {
				require.Equal(t, Cut, l.passes[0].Course.State, "it may have burned on")
			}
		})
	}
}

// Just a minute of it says nothing of how the pass ended.
func TestRest_aMinuteMissing(t *testing.T) {
	l := newLathe(job(bore.Helix), 0)
	l.EndBy("Inspector 1", Moment{Tick: 2 * s})
	l.Samples([]arc.Sample{{Tick: 0, V: 20, I: 100}, {Tick: s, V: 20, I: 100}, {Tick: 61 * s, V: 20, I: 100, Mark: arc.Break}})
	require.Equal(t, Interrupted, l.passes[0].Course.State)
}

// Seconds without data put off the end of a pass by as much.
func TestRest_missingWhileOut(t *testing.T) {
	l := newLathe(job(bore.Straight), 0)
	l.Samples([]arc.Sample{{Tick: 0, V: 20, I: 100}, {Tick: s, V: 20, I: 100}, {Tick: s + 400*ms}, {Tick: 6 * s, Mark: arc.Break}, {Tick: 6*s + 600*ms, Mark: arc.FlagOff}})
	require.Empty(t, l.passes, "out for 1 s, with 4.6 s of which nobody knows")
	from, off, out := l.Off()
	require.True(t, out)
	require.Equal(t, int64(s), from.Tick)
	require.InDelta(t, 1, float64(off), 1e-9)
	l.Samples([]arc.Sample{{Tick: 6*s + 600*ms + 1}})
	require.Len(t, l.passes, 1)
}

// Whoever ends a pass has it end where the arc is out, or with the arc interval, and
// what is laid then is another one.
func TestEndBy(t *testing.T) {
	for name, x := range map[string]struct {
		at   float64 // s
		told []string
	}{
		"while the arc burns":     {1, []string{"begin 1", "rest", "end 1", "begin 2", "rest", "end 2"}},
		"while it is out":         {2.5, []string{"begin 1", "rest", "end 1", "begin 2", "rest", "end 2"}},
		"as it is struck":         {3, []string{"begin 1", "rest", "end 1", "begin 2", "rest", "end 2"}},
		"before":                  {-1, []string{"begin 1", "rest", "resume", "rest", "end 1"}},
		"at the very beginning":   {0, []string{"begin 1", "rest", "resume", "rest", "end 1"}},
		"after all":               {9, []string{"begin 1", "rest", "resume", "rest", "end 1"}},
		"at the very last sample": {4.99, []string{"begin 1", "rest", "resume", "rest", "end 1"}},
	} {
		t.Run(name, func(t *testing.T) {
			l := newLathe(job(bore.Helix), 0)
			l.EndBy("Inspector 1", Moment{Tick: int64(x.at * s)})
			l.play(burn(2), wait(1), burn(2), wait(1)).end()
			require.Equal(t, x.told, l.told)
			by := ""
			if len(x.told) == 6 || x.at == 4.99 {
				by = "Inspector 1"
			}
			require.Equal(t, by, l.passes[0].EndedBy)
		})
	}
}

// Out of the arc the pass ends at that tick, not at the next sample in arc.
func TestEndBy_endsInTheCold(t *testing.T) {
	l := newLathe(job(bore.Helix), 0)
	l.EndBy("Inspector 1", Moment{Tick: 2500 * ms})
	l.play(burn(2), wait(0.5))
	require.Empty(t, l.passes)
	l.play(wait(0.01))
	require.Len(t, l.passes, 1)
	require.Equal(t, "Inspector 1", l.passes[0].EndedBy)
	require.Equal(t, Moment{Tick: 1990 * ms}, l.passes[0].End)
}

// It may be said while the pass is under way, in any order; of two at one moment the
// first counts, and another epoch has other passes.
func TestEndBy_order(t *testing.T) {
	l := newLathe(job(bore.Helix), 0).play(burn(2))
	l.EndBy("late", Moment{Tick: 8 * s})
	l.EndBy("first", Moment{Tick: 4 * s})
	l.EndBy("second", Moment{Tick: 4 * s})
	l.EndBy("elsewhere", Moment{Epoch: 1, Tick: 3 * s})
	l.EndBy("before", Moment{Tick: 0})
	l.play(wait(1), burn(2), wait(1), burn(3), wait(1), burn(1))
	p := l.end()
	require.Len(t, p, 3)
	require.Equal(t, []string{"first", "late", ""}, []string{p[0].EndedBy, p[1].EndedBy, p[2].EndedBy})
}

func TestEndings_begin(t *testing.T) {
	var e endings
	e.begin(Moment{})
	require.Equal(t, never, e.next)
	require.EqualValues(t, int64(math.MaxInt64), never.at.Tick)
	e.add(ending{Moment{Epoch: 1, Tick: 5}, "b"})
	e.add(ending{Moment{Epoch: 0, Tick: 9}, "a"})
	e.begin(Moment{Epoch: 0, Tick: 8})
	require.Equal(t, "a", e.next.by)
	e.begin(Moment{Epoch: 0, Tick: 9})
	require.Equal(t, never, e.next, "not what was said as it began, nor of another epoch")
	e.begin(Moment{Epoch: 1, Tick: -9})
	require.Equal(t, "b", e.next.by)
}

func TestMoment_Compare(t *testing.T) {
	m := Moment{Epoch: 1, Tick: 5}
	require.Zero(t, m.Compare(m))
	require.Negative(t, m.Compare(Moment{Epoch: 1, Tick: 6}))
	require.Positive(t, m.Compare(Moment{Epoch: 0, Tick: 6}))
	require.Negative(t, m.Compare(Moment{Epoch: 2, Tick: 0}))
}
