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
