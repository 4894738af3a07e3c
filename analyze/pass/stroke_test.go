package pass

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/analyze/bore"
)

// half leaves the half from 90 to 270 to weld: strokes of 180 degrees that begin at 90.
var half = bore.Gap{From: 270, To: 90}

// stroked is a job of strokes that begins at 90 degrees.
func stroked(pattern bore.Pattern, counts float64, gaps ...bore.Gap) *lathe {
	j := job(pattern, gaps...)
	j.Rotation.StartAngle = 90
	return newLathe(j, counts)
}

// Two strokes make a layer, the second of them anti-clockwise.
func TestStroke_reversing(t *testing.T) {
	for name, counts := range both {
		t.Run(name, func(t *testing.T) {
			p := stroked(bore.SegmentReversing, counts, half).play(weld(180), wait(2), weld(-180), wait(2), weld(180), wait(2)).end()
			require.Equal(t, []State{Complete, Complete, Complete}, states(p))
			for k := range p {
				from, to := 90.0, 270.0
				if k == 1 {
					from, to = to, from
				}
				require.Equal(t, 1+k/2, p[k].Layer)
				require.InDelta(t, 0.5, p[k].Course.Planned, 1e-12)
				require.InDelta(t, 0.5, *p[k].Turns, 0.005)
				require.InDelta(t, 0.5*math.Pi*float64(p[k].Diameter), float64(*p[k].Travel), 2e-3)
				angle(t, p[k].StartPlace, from, float64(k%2))
				angle(t, p[k].EndPlace, to, float64(k%2))
				require.False(t, p[k].Course.Against)
			}
		})
	}
}

// Every stroke clockwise, and back without an arc.
func TestStroke_oneWay(t *testing.T) {
	for name, counts := range both {
		t.Run(name, func(t *testing.T) {
			l := stroked(bore.SegmentOneWay, counts, half)
			for range 3 {
				l.play(weld(180), wait(0.5), cold(-180), wait(0.5))
			}
			p := l.end()
			require.Equal(t, []State{Complete, Complete, Complete}, states(p))
			for k := range p {
				require.Equal(t, 1+k/2, p[k].Layer)
				angle(t, p[k].StartPlace, 90, float64(k%2))
				angle(t, p[k].EndPlace, 270, float64(k%2))
				require.False(t, p[k].Course.Against)
			}
			d := l.Doubts()
			require.Equal(t, []int{2, 1, 2}, []int{d.Layer, d.Laid, d.Planned})
		})
	}
}

// The arc burns on while the torch turns round: what it burned there, and on the way
// back, belongs to the stroke back.
func TestStroke_partsWhereTheTorchTurns(t *testing.T) {
	l := stroked(bore.SegmentReversing, 360, half)
	l.play(weld(1.8))
	l.WireSpeed(0.08)
	p := l.play(weld(178.2), burn(1), weld(-180), wait(2)).end()
	require.Len(t, p, 2)
	require.InDelta(t, 5, float64(p[0].ArcTime), 0.05)
	require.InDelta(t, 6, float64(p[1].ArcTime), 0.05)
	require.InDelta(t, 10.99, float64(p[0].ArcTime+p[1].ArcTime), 1e-9)
	require.InDelta(t, 21980, float64(p[0].Energy+p[1].Energy), 1e-6)
	require.InDelta(t, 0.08*10.99, float64(*p[0].Wire+*p[1].Wire), 1e-9)
	require.InDelta(t, 0.08*5, float64(*p[0].Wire), 0.01)
	for k := range p {
		require.InDelta(t, 0.5, *p[k].Turns, 0.005)
		require.InDelta(t, 0.157, float64(*p[k].Travel), 2e-3)
		require.Equal(t, Complete, p[k].Course.State)
	}
	require.Equal(t, p[0].End, p[1].Start)
	angle(t, p[1].StartPlace, 270, 1)
	require.Equal(t, []string{"begin 1", "end 1", "begin 2", "rest", "end 2"}, l.told)
}

// A count that falls back by less than 3 degrees is the play of the drive; after more,
// there and back are strokes.
func TestStroke_backlash(t *testing.T) {
	for degrees, passes := range map[float64]int{2: 1, 5: 3} {
		p := stroked(bore.SegmentReversing, 3600, half).play(weld(90), weld(-degrees), weld(degrees), weld(60), wait(12)).end()
		require.Len(t, p, passes, degrees)
	}
}

// The torch turns back without an arc: the stroke is over at once.
func TestStroke_turnedCold(t *testing.T) {
	l := stroked(bore.SegmentOneWay, 360, half).play(weld(170), wait(0.5))
	require.Empty(t, l.passes, "10 degrees are still to go")
	l.play(cold(-2))
	require.Empty(t, l.passes)
	l.play(cold(-3))
	require.Len(t, l.passes, 1)
	require.Equal(t, Moment{Tick: 4720 * ms}, l.passes[0].End)
	require.Equal(t, []string{"begin 1", "rest", "end 1"}, l.told)
}

// It may turn back within the hold time: then the stroke is over when that is.
func TestStroke_turnedColdWithinTheHold(t *testing.T) {
	l := stroked(bore.SegmentOneWay, 360, half).play(weld(150), leg{0.2, -20, false})
	require.Empty(t, l.passes, "the arc interval is still open")
	l.play(wait(0.2))
	require.Len(t, l.passes, 1)
	require.InDelta(t, 150.0/360, *l.passes[0].Turns, 0.005)
}

// A segment has all its strokes, and the torch goes on without turning: an arc beyond
// the end of the stroke is another one.
func TestStroke_beyondItsEnd(t *testing.T) {
	l := stroked(bore.SegmentOneWay, 360, half).play(weld(160), cold(20), wait(1), weld(20), wait(12))
	require.Len(t, l.end(), 1, "up to its end it goes on")
	l = stroked(bore.SegmentOneWay, 360, half).play(weld(160), cold(35), wait(1), weld(20), wait(12))
	require.Len(t, l.end(), 2)
}

// An arc on the way back of a one-way pattern is no stroke of the plan.
func TestStroke_against(t *testing.T) {
	p := stroked(bore.SegmentOneWay, 360, half).play(
		weld(180), wait(2), weld(-180), wait(2), weld(180), wait(2), cold(-180), weld(180), wait(2),
	).end()
	require.Len(t, p, 4)
	for k, against := range []bool{false, true, false, false} {
		require.Equal(t, against, p[k].Course.Against, k)
		require.Equal(t, Complete, p[k].Course.State)
	}
	require.Equal(t, []int{1, 1, 1, 2}, []int{p[0].Layer, p[1].Layer, p[2].Layer, p[3].Layer})
	require.InDelta(t, 0.003, float64(p[2].StartPlace.Depth), 1e-9)
}

// The first stroke tells the way of a one-way pattern; it may be anti-clockwise.
func TestStroke_oneWayAnticlockwise(t *testing.T) {
	p := stroked(bore.SegmentOneWay, 360, half).play(cold(180), weld(-180), wait(1), cold(180), weld(-180), wait(1)).end()
	require.Len(t, p, 2)
	require.False(t, p[0].Course.Against)
	require.False(t, p[1].Course.Against)
	angle(t, p[1].StartPlace, 90, 1)
}

// quarters leaves two segments, from 0 to 90 and from 180 to 270.
var quarters = []bore.Gap{{From: 90, To: 180}, {From: 270, To: 360}}

// Segments are filled one after the other, and the layer is over where the torch comes
// back to the first of them.
func TestStroke_segmentAfterSegment(t *testing.T) {
	for name, counts := range both {
		t.Run(name, func(t *testing.T) {
			l := newLathe(job(bore.SegmentReversing, quarters...), counts)
			both := []leg{weld(90), wait(2), weld(-90), wait(2)}
			l.play(both...).play(cold(180)).play(both...).play(cold(-180), weld(90), wait(2))
			p := l.end()
			require.Len(t, p, 5)
			for k := range p {
				require.Equal(t, 1+k/4, p[k].Layer)
				require.Equal(t, Complete, p[k].Course.State)
				require.Zero(t, p[k].Course.Missing)
				require.False(t, p[k].Course.Extra)
				require.InDelta(t, 0.003*float64(k%2), float64(p[k].StartPlace.Depth), 1e-9)
				require.InDelta(t, 0.25, p[k].Course.Planned, 1e-9)
			}
			angle(t, p[2].StartPlace, 180, 0)
			angle(t, p[2].EndPlace, 270, 0)
			angle(t, p[3].StartPlace, 270, 1)
			angle(t, p[3].EndPlace, 180, 1)
			d := l.Doubts()
			require.Equal(t, []int{2, 1, 4}, []int{d.Layer, d.Laid, d.Planned})
		})
	}
}

// Or a stroke in each, in turn; where the turns are counted any order will do.
func TestStroke_segmentsInTurn(t *testing.T) {
	l := newLathe(job(bore.SegmentOneWay, quarters...), 360)
	for range 3 {
		l.play(weld(90), wait(1), cold(90), weld(90), wait(1), cold(90))
	}
	p := l.end()
	require.Len(t, p, 6)
	require.Equal(t, []int{1, 1, 1, 1, 2, 2}, []int{p[0].Layer, p[1].Layer, p[2].Layer, p[3].Layer, p[4].Layer, p[5].Layer})
	for k := range p {
		angle(t, p[k].StartPlace, float64(k%2)*180, float64(k/2%2))
		require.Zero(t, p[k].Course.Missing)
	}
}

// A layer that is begun before the last one is full lacks strokes; and a segment that
// has all of its own takes one more while another has none.
func TestStroke_missingAndExtra(t *testing.T) {
	both := []leg{weld(90), wait(2), weld(-90), wait(2)}
	l := newLathe(job(bore.SegmentReversing, quarters...), 360).play(both...)
	l.play(weld(90), wait(2), weld(-90), wait(2)) // a third and a fourth in the first segment
	l.play(cold(180), weld(90), wait(2), cold(-270), weld(90), wait(2))
	p := l.end()
	require.Len(t, p, 6)
	require.True(t, p[2].Course.Extra)
	require.True(t, p[3].Course.Extra)
	require.InDelta(t, 0.003, float64(p[3].StartPlace.Depth), 1e-9, "no deeper than the last")
	require.False(t, p[4].Course.Extra)
	require.Equal(t, 1, p[4].Layer)
	require.Equal(t, 2, p[5].Layer)
	require.Equal(t, 1, p[5].Course.Missing, "the second segment lacks one")
	require.Equal(t, 0, p[4].Course.Missing)
}

// A stroke that stopped short is gone on with, or begun anew; a one-way stroke always
// begins at its beginning, and is the next one there.
func TestStroke_goesOn(t *testing.T) {
	for name, x := range map[string]struct {
		pattern          bore.Pattern
		jog              float64 // degrees from where it stopped, 60 after its beginning
		resumes, repeats int
		depth            float64
		planned          float64
	}{
		"where it stopped":            {bore.SegmentReversing, 0, 1, 0, 0, 120},
		"a hole ahead":                {bore.SegmentReversing, 60, 1, 0, 0, 120},
		"from its beginning":          {bore.SegmentReversing, -60, 0, 1, 0, 180},
		"before its beginning":        {bore.SegmentReversing, -80, 0, 0, 1, 180},
		"at its end":                  {bore.SegmentReversing, 108, 0, 0, 1, 180},
		"one-way, where it stopped":   {bore.SegmentOneWay, 0, 1, 0, 0, 120},
		"one-way, from its beginning": {bore.SegmentOneWay, -60, 0, 0, 1, 180},
	} {
		t.Run(name, func(t *testing.T) {
			p := stroked(x.pattern, 360, half).play(weld(60), wait(12), cold(x.jog), wait(1), weld(30), wait(12)).end()
			require.Len(t, p, 2)
			require.Equal(t, Interrupted, p[0].Course.State)
			require.Equal(t, x.resumes, p[1].Course.Resumes)
			require.Equal(t, x.repeats, p[1].Course.Repeats)
			require.InDelta(t, x.planned/360, p[1].Course.Planned, 0.005)
			require.InDelta(t, 0.003*x.depth, float64(p[1].StartPlace.Depth), 1e-9)
		})
	}
}

// Strokes by a declared rotation part 10 degrees after their end.
func TestStroke_declaredPart(t *testing.T) {
	for degrees, passes := range map[float64]int{189: 1, 192: 2} {
		p := stroked(bore.SegmentReversing, 0, half).play(weld(degrees), wait(2)).end()
		require.Len(t, p, passes, degrees)
		require.InDelta(t, map[int]float64{1: degrees / 360, 2: 0.5}[passes], *p[0].Turns, 2e-3)
	}
}

// Without the length of the bore nobody knows what a stroke is, nor what lies beyond
// its end.
func TestStroke_noLength(t *testing.T) {
	j := job(bore.SegmentReversing, half)
	j.Bore.Length = 0
	p := newLathe(j, 360).play(weld(60), wait(1), weld(60), wait(1)).end()
	require.Len(t, p, 1)
	require.Equal(t, 2, p[0].Intervals)
	require.Zero(t, p[0].Layer)
}

// Two segments of two strokes each, as many laid in each of them; the torch strikes in
// one, and was in another, or the same, before.
func TestLayers_goTo(t *testing.T) {
	for name, x := range map[string]struct {
		laid     []int
		before   int
		inTurn   bool
		segment  int
		want     Course
		newLayer bool
		turns    bool // it fills one segment after the other from here on
	}{
		"the first stroke":                {[]int{0, 0}, 0, false, 0, Course{}, false, false},
		"the second one":                  {[]int{1, 0}, 0, false, 0, Course{}, false, true},
		"one in the other":                {[]int{1, 0}, 0, false, 1, Course{}, false, false},
		"back to one of them, by turns":   {[]int{1, 1}, 1, false, 0, Course{}, false, false},
		"back to one that is not full":    {[]int{1, 2}, 1, true, 0, Course{Missing: 1}, true, true},
		"a full one, the other untouched": {[]int{2, 0}, 0, true, 0, Course{Extra: true}, false, true},
		"a full one, the other begun":     {[]int{2, 1}, 0, false, 0, Course{Missing: 1}, true, false},
		"a full one, after the other":     {[]int{2, 2}, 1, true, 0, Course{}, true, true},
		"more than full, the other lacks": {[]int{3, 1}, 1, false, 0, Course{Missing: 1}, true, false},
	} {
		t.Run(name, func(t *testing.T) {
			l := newLayers(job(bore.SegmentReversing, quarters...))
			copy(l.strokes, x.laid)
			l.segment, l.inTurn = x.before, x.inTurn
			var c Course
			l.goTo(x.segment, &c)
			require.Equal(t, x.want, c)
			require.Equal(t, x.segment, l.segment)
			require.Equal(t, x.turns, l.inTurn)
			require.Equal(t, x.newLayer, l.number == 2)
			if x.newLayer {
				require.Equal(t, []int{0, 0}, l.strokes)
			}
		})
	}
}

// The end of a stroke of a quarter turn is known to 10 degrees.
func TestLayers_beyond(t *testing.T) {
	l := newLayers(job(bore.SegmentReversing, quarters...))
	l.begin(0, true)
	const end = 0.25 + 10.0/360
	require.False(t, l.beyond(end))
	require.False(t, l.beyond(-end))
	require.True(t, l.beyond(end+1e-9))
	l.counted = false
	require.False(t, l.beyond(2))
}

func TestHeadway(t *testing.T) {
	h := headway{furthest: 1}
	require.False(t, h.further(1+2.9/360), "no way is known yet")
	require.False(t, h.back(0.5))
	require.True(t, h.further(1+3.0/360+1e-12))
	require.Positive(t, h.way)
	require.False(t, h.further(1+3.0/360+1e-12))
	require.True(t, h.further(1.5))
	require.False(t, h.back(1.5-2.9/360))
	require.True(t, h.back(1.5-3.1/360))
	require.False(t, h.further(1.2))
	require.InDelta(t, 1.5, h.furthest, 0)

	h = headway{}
	require.False(t, h.further(-2.9/360))
	require.True(t, h.further(-3.0/360))
	require.Negative(t, h.way)
	require.True(t, h.further(-0.5))
	require.True(t, h.back(-0.5+3.1/360))
	require.False(t, h.back(-0.5+2.9/360))
	require.False(t, h.back(-0.6))
	h = headway{}
	require.True(t, h.further(backlash), "exactly")
	require.True(t, h.back(0))
}
