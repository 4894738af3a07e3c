package pass

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/analyze/bore"
)

var both = map[string]float64{"counted": 360, "declared": 0}

// Two rings make a layer; between them the torch steps over without turning.
func TestRing_layers(t *testing.T) {
	for name, counts := range both {
		t.Run(name, func(t *testing.T) {
			l := newLathe(job(bore.Rings), counts)
			for range 3 {
				l.play(weld(360), wait(2))
			}
			p := l.end()
			require.Equal(t, []State{Complete, Complete, Complete}, states(p))
			for k := range p {
				require.Equal(t, 1+k/2, p[k].Layer)
				require.InDelta(t, 1, *p[k].Turns, 0.005)
				require.InDelta(t, 1, p[k].Course.Planned, 1e-12)
				require.InDelta(t, math.Pi*float64(p[k].Diameter), float64(*p[k].Travel), 2e-3)
				angle(t, p[k].StartPlace, 0, float64(k%2))
				require.Equal(t, []string{"begin 1", "rest", "end 1"}[0], l.told[0])
			}
			require.Less(t, p[2].Diameter, p[1].Diameter)
			d := l.Doubts()
			require.Equal(t, []int{2, 1, 2}, []int{d.Layer, d.Laid, d.Planned})
		})
	}
}

// A ring that is struck again 10 degrees before its close goes on; within that it is
// another one. Planned gaps at its end are none of it.
func TestRing_closed(t *testing.T) {
	for name, x := range map[string]struct {
		gaps    []bore.Gap
		degrees float64
		passes  int
	}{
		"11 degrees to go":                 {nil, 349, 1},
		"9 degrees to go":                  {nil, 351.5, 2},
		"a gap, and 11 degrees before it":  {[]bore.Gap{{From: 300, To: 360}}, 289, 1},
		"a gap, and 9 degrees before it":   {[]bore.Gap{{From: 300, To: 360}}, 291.5, 2},
		"a gap in the middle, and 11 more": {[]bore.Gap{{From: 100, To: 160}}, 349, 1},
	} {
		t.Run(name, func(t *testing.T) {
			require.Len(t, newLathe(job(bore.Rings, x.gaps...), 3600).play(weld(x.degrees), wait(2), weld(5), wait(1)).end(), x.passes)
		})
	}
}

// Two rings and a bit without putting the arc out: the second begins where the first
// closed, in angle, in time and in all sums.
//
//	10 s of 2000 W, 80 mm/s of wire and pi*100 mm of way for each
func TestRing_parts(t *testing.T) {
	for name, counts := range map[string]float64{"counted": 3600, "declared": 0} {
		t.Run(name, func(t *testing.T) {
			j := job(bore.Rings)
			l := newLathe(j, counts)
			l.play(weld(1))
			l.WireSpeed(0.08)
			p := l.play(weld(739), wait(1)).end()
			require.Len(t, p, 2)
			require.Equal(t, []State{Complete, Complete}, states(p))
			require.Equal(t, []string{"begin 1", "end 1", "begin 2", "rest", "end 2"}, l.told)
			require.InDelta(t, 10, float64(p[0].ArcTime), 0.011)
			require.InDelta(t, 20000, float64(p[0].Energy), 22)
			require.InDelta(t, 1, *p[0].Turns, 1.1e-3)
			require.InDelta(t, 0.31416, float64(*p[0].Travel), 4e-4)
			require.InDelta(t, 0.8, float64(*p[0].Wire), 1e-3)
			require.Equal(t, p[0].End, p[1].Start)
			require.InDelta(t, 2*10+20.0/36-0.01, float64(p[0].ArcTime+p[1].ArcTime), 0.011)
			require.InDelta(t, 2000*float64(p[0].ArcTime+p[1].ArcTime), float64(p[0].Energy+p[1].Energy), 1e-6)
			require.InDelta(t, 1+20.0/360, *p[1].Turns, 2e-3)
			require.InDelta(t, 0.31416*(1+20.0/360), float64(*p[1].Travel), 1e-3)
			require.InDelta(t, 0.8*(1+20.0/360), float64(*p[1].Wire), 2e-3)
			require.Equal(t, 1, p[1].Intervals)
			angle(t, p[0].EndPlace, 0, 0)
			angle(t, p[1].StartPlace, 0, 1)
			require.Zero(t, p[1].Course.Resumes)
		})
	}
}

// Until the overlap of 45 degrees is over the arc may still be closing the ring; a
// longer one has stepped over to the next.
func TestRing_overlap(t *testing.T) {
	for degrees, passes := range map[float64]int{360 + 44: 1, 360 + 47: 2} {
		for name, counts := range map[string]float64{"counted": 3600, "declared": 0} {
			l := newLathe(job(bore.Rings), counts)
			require.Len(t, l.play(weld(degrees), wait(1)).end(), passes, name)
			require.Equal(t, Complete, l.passes[0].Course.State)
		}
	}
}

// A ring that closes anti-clockwise closes too.
func TestRing_anticlockwise(t *testing.T) {
	p := newLathe(job(bore.Rings), 3600).play(weld(-740), wait(1)).end()
	require.Len(t, p, 2)
	require.InDelta(t, 1, *p[0].Turns, 1.1e-3)
	require.InDelta(t, 1+20.0/360, *p[1].Turns, 2e-3)
	require.InDelta(t, 0.31416*(1+20.0/360), float64(*p[1].Travel), 1e-3)
}

// Without the length of the bore rings do not part: nobody knows that they are any.
func TestRing_noLength(t *testing.T) {
	j := job(bore.Rings)
	j.Bore.Length = 0
	require.Len(t, newLathe(j, 360).play(weld(800), wait(1)).end(), 1)
}

// Nor where nothing tells the turns.
func TestRing_noRotation(t *testing.T) {
	j := job(bore.Rings)
	j.Rotation.Speed = 0
	p := newLathe(j, 0).play(weld(800), wait(1)).end()
	require.Len(t, p, 1)
	require.Nil(t, p[0].Turns)
	require.Nil(t, p[0].StartPlace)
}

// A ring that stopped short is gone on with where it stopped, or begun again from its
// beginning; in any other place it is the next one.
func TestRing_goesOn(t *testing.T) {
	for name, x := range map[string]struct {
		jog              float64 // degrees from where it stopped, at 120
		resumes, repeats int
		off              float64
		turns            float64
	}{
		"where it stopped":              {0, 1, 0, 0, 240},
		"a hole ahead":                  {40, 1, 0, 40, 240},
		"far round":                     {200, 1, 0, 200, 240},
		"back over it":                  {-60, 1, 0, -60, 240},
		"from its beginning":            {-120, 0, 1, -120, 360},
		"near its beginning":            {-108, 0, 1, -108, 360},
		"once more all the way":         {360, 1, 0, 0, 240},
		"its beginning, by going round": {240, 0, 0, 0, 360},
	} {
		t.Run(name, func(t *testing.T) {
			p := newLathe(job(bore.Rings), 360).play(weld(120), wait(12), cold(x.jog), wait(1), weld(x.turns), wait(12)).end()
			require.Len(t, p, 2)
			require.Equal(t, Interrupted, p[0].Course.State)
			require.Equal(t, x.resumes, p[1].Course.Resumes)
			require.Equal(t, x.repeats, p[1].Course.Repeats)
			require.InDelta(t, x.turns/360, p[1].Course.Planned, 0.005)
			if x.resumes+x.repeats > 0 {
				require.InDelta(t, x.off, float64(*p[1].Course.Off), 2)
				require.InDelta(t, 0, float64(p[1].StartPlace.Depth), 1e-9, "the same ring")
			} else {
				require.Nil(t, p[1].Course.Off)
				require.InDelta(t, 0.003, float64(p[1].StartPlace.Depth), 1e-9)
			}
		})
	}
}

// Of rings whose turns are declared nobody knows where the next one begins.
func TestRing_uncounted(t *testing.T) {
	p := newLathe(job(bore.Rings), 0).play(weld(120), wait(12), weld(360), wait(2)).end()
	require.Equal(t, []State{Interrupted, Complete}, states(p))
	require.Zero(t, p[1].Course.Resumes)
	require.InDelta(t, 0.003, float64(p[1].StartPlace.Depth), 1e-9)
}

// A declared ring is complete within 10 % of its plan, a counted one within 10 degrees.
func TestRing_complete(t *testing.T) {
	for name, x := range map[string]struct {
		counts, degrees float64
		state           State
	}{
		"declared, 34 short": {0, 326, Complete}, "declared, 38 short": {0, 322, Interrupted},
		"counted, 9 short": {3600, 351.5, Complete}, "counted, 12 short": {3600, 348, Interrupted},
	} {
		t.Run(name, func(t *testing.T) {
			p := newLathe(job(bore.Rings), x.counts).play(weld(x.degrees), wait(12)).end()
			require.Equal(t, []State{x.state}, states(p))
		})
	}
}

// A ring that stopped short and that goes on is one of its layer, not two.
func TestRing_goesOn_countsOnce(t *testing.T) {
	l := newLathe(job(bore.Rings), 360).play(weld(360), wait(2), weld(120), wait(12), weld(240), wait(2))
	d := l.Doubts()
	require.Equal(t, []int{1, 2, 2}, []int{d.Layer, d.Laid, d.Planned})
	p := l.play(weld(90)).end()
	require.Equal(t, []int{1, 1, 1, 2}, []int{p[0].Layer, p[1].Layer, p[2].Layer, p[3].Layer})
	require.Equal(t, 2, p[2].Course.Resumes)
}

// A count gone wild has no degrees to go, and is not walked through.
func TestLayers_left_wild(t *testing.T) {
	l := newLayers(job(bore.Rings))
	l.begin(0, true)
	for _, at := range []float64{1e300, -1e300, math.Inf(1), math.NaN()} {
		require.Zero(t, l.left(at))
	}
	require.InDelta(t, 1, l.left(0), 1e-12)
	require.InDelta(t, 0.25, l.left(0.75), 1e-12)
	require.InDelta(t, 0.25, l.left(-0.75), 1e-12)
	require.Zero(t, l.left(1.5))
}

// At the end of a ring the planned gaps are left out, degree by degree: of the half
// that is to go, the 60 degrees before the close are one.
func TestLayers_left_gaps(t *testing.T) {
	l := newLayers(job(bore.Rings, bore.Gap{From: 300, To: 360}))
	l.begin(0, true)
	require.InDelta(t, 120.0/360, l.left(0.5), 1e-12)
	l.begin(1, true)
	require.InDelta(t, 120.0/360, l.left(1.5), 1e-12)
	require.InDelta(t, 180.0/360, l.left(0.5), 1e-12, "anti-clockwise the gap came first")
}

// A pass is complete within 10 degrees, but within no more than a quarter of what it
// had to go.
func TestLayers_complete(t *testing.T) {
	l := newLayers(job(bore.Helix))
	l.begin(0, true)
	l.need = 0.0625
	require.True(t, l.complete(0.046875))
	require.False(t, l.complete(0.0468))
	l.need = 2
	require.True(t, l.complete(2-9.99/360))
	require.False(t, l.complete(2-10.01/360))
	l.perLayer = 0
	require.False(t, l.complete(2))
}

// By how many turns a pass may stop short and be complete.
func TestLayers_tolerance(t *testing.T) {
	for name, x := range map[string]struct {
		pattern   bore.Pattern
		need      float64
		counted   bool
		tolerance float64
	}{
		"a ring":                     {bore.Rings, 1, true, 10.0 / 360},
		"the rest of a ring":         {bore.Rings, 0.05, true, 0.0125},
		"a declared ring":            {bore.Rings, 1, false, 0.1},
		"the rest of a declared one": {bore.Rings, 0.05, false, 0.0125},
		"a declared stroke":          {bore.SegmentOneWay, 0.5, false, 0.05},
		"a helix":                    {bore.Helix, 2, true, 0.5},
		"a declared helix":           {bore.Helix, 2, false, 0.5},
	} {
		t.Run(name, func(t *testing.T) {
			l := newLayers(job(x.pattern))
			l.need, l.counted = x.need, x.counted
			require.InDelta(t, x.tolerance, l.tolerance(), 1e-12)
		})
	}
}

// Half a turn of two short is complete, and fills the layer; any more is neither.
func TestLayers_helixSlack(t *testing.T) {
	for at, full := range map[float64]bool{1.5: true, 1.4999: false} {
		l := newLayers(job(bore.Helix))
		p := Pass{Number: 1, Course: l.begin(0, true)}
		l.finish(&p, at, false, 0)
		l.end(at)
		require.Equal(t, full, p.Course.State == Complete)
		require.Equal(t, full, l.full)
		require.Equal(t, full, l.open.number == 0)
	}
}

func TestNewLayers_notKnown(t *testing.T) {
	for name, change := range map[string]func(*bore.Bore, *bore.Deposit){
		"no length":   func(b *bore.Bore, _ *bore.Deposit) { b.Length = 0 },
		"no pitch":    func(_ *bore.Bore, d *bore.Deposit) { d.Pitch = 0 },
		"no diameter": func(b *bore.Bore, _ *bore.Deposit) { b.WornDiameter = 0 },
		"a plate":     func(_ *bore.Bore, d *bore.Deposit) { d.Pattern = bore.Straight },
	} {
		t.Run(name, func(t *testing.T) {
			j := job(bore.SegmentReversing, half)
			change(&j.Bore, &j.Deposit)
			l := newLayers(j)
			require.Zero(t, l.number)
			require.Zero(t, l.perLayer)
			require.Empty(t, l.strokes)
			require.Equal(t, Course{}, l.begin(3, true))
		})
	}
}

// Where a pass goes on with one that stopped short, by where it begins: that one began
// at 1 turn and went to 1.5, or to 0.5, of a whole one.
func TestLayers_goesOn(t *testing.T) {
	const near = 15.0 / 360
	for name, x := range map[string]struct {
		pattern          bore.Pattern
		from, to         float64
		at               float64
		resumes, repeats int
		off, need        float64
	}{
		"a ring, where it stopped":           {bore.Rings, 1, 1.5, 1.5, 3, 0, 0, 0.5},
		"15 degrees behind":                  {bore.Rings, 1, 1.5, 1.46, 3, 0, -0.04, 0.5},
		"anti-clockwise, where it stopped":   {bore.Rings, 1, 0.5, 0.5, 3, 0, 0, 0.5},
		"anti-clockwise, a hole":             {bore.Rings, 1, 0.5, 0.3, 3, 0, 0.2, 0.5},
		"anti-clockwise, from its beginning": {bore.Rings, 1, 0.5, 1.03, 0, 3, -0.53, 1},
		"from its beginning":                 {bore.Rings, 1, 1.5, 1.04, 0, 3, -0.46, 1},
		"past its beginning":                 {bore.Rings, 1, 1.5, 1.05, 3, 0, -0.45, 0.5},
		"before its beginning":               {bore.Rings, 1, 1.5, 0.95, 3, 0, 0.45, 0.5},
		"its beginning, once round":          {bore.Rings, 1, 1.5, 2.01, 0, 0, 0, 1},
		"its close":                          {bore.Rings, 1, 1.5, 1.97, 0, 0, 0, 1},
		"its close, exactly as near":         {bore.Rings, 0, 0.5, 1 - near, 0, 0, 0, 1},
		"not so near":                        {bore.Rings, 1, 1.5, 1.95, 3, 0, 0.45, 0.5},
		"a helix, from its beginning":        {bore.Helix, 1, 1.5, 1, 0, 3, -0.5, 1},
		"a helix, before its beginning":      {bore.Helix, 1, 1.5, 0.5, 3, 0, -1, 0.5},
		"a stroke, before its beginning":     {bore.SegmentReversing, 1, 1.5, 0.9, 0, 0, 0, 0.5},
		"a stroke, past its beginning":       {bore.SegmentReversing, 1, 1.5, 1.2, 3, 0, -0.3, 0.5},
		"a stroke, near its end":             {bore.SegmentReversing, 1, 1.5, 1.97, 0, 0, 0, 0.5},
		"a stroke, exactly as near":          {bore.SegmentReversing, 0, 0.5, 1 - near, 0, 0, 0, 0.5},
		"a stroke, not so near":              {bore.SegmentReversing, 1, 1.5, 1.95, 3, 0, 0.45, 0.5},
	} {
		t.Run(name, func(t *testing.T) {
			j := job(x.pattern)
			if x.pattern != bore.Helix && x.pattern != bore.Rings {
				j.Deposit.Gaps = []bore.Gap{half}
			}
			l := newLayers(j)
			l.open = unfinished{number: 3, began: x.from, stopped: x.to, need: 1, counted: true}
			c := l.begin(x.at, true)
			require.Equal(t, x.resumes, c.Resumes)
			require.Equal(t, x.repeats, c.Repeats)
			require.Equal(t, unfinished{}, l.open)
			if x.resumes+x.repeats == 0 {
				require.Nil(t, c.Off)
				if x.pattern != bore.SegmentReversing {
					require.InDelta(t, x.need, c.Planned, 1e-12)
				}
				return
			}
			require.InDelta(t, x.off*360, float64(*c.Off), 1e-9)
			require.InDelta(t, x.need, c.Planned, 1e-12)
		})
	}
}

// A ring that is gone on with leaves its place in the layer to the pass that does.
func TestLayers_undo(t *testing.T) {
	l := newLayers(job(bore.Rings))
	l.done, l.full, l.open = 2, true, unfinished{number: 3, began: 0, stopped: 0.5, need: 1, done: 1, counted: true}
	l.begin(0.5, true)
	require.InDelta(t, 1, l.done, 0)
	require.False(t, l.full)
	require.Equal(t, 1, l.number)

	strokes := newLayers(job(bore.SegmentReversing, half))
	strokes.strokes[0], strokes.open = 1, unfinished{number: 3, began: 0, stopped: 0.25, need: 0.5, counted: true}
	strokes.begin(0.25, true)
	require.Zero(t, strokes.strokes[0])
}
