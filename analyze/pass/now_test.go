package pass

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
)

// Asked on the way, a pass is what it would be if it ended there.
func TestSplitter_UnderWay(t *testing.T) {
	for name, x := range map[string]struct {
		job    bore.Pattern
		counts float64
		legs   []leg
	}{
		"burning":         {bore.Helix, 360, []leg{weld(100)}},
		"declared":        {bore.Helix, 0, []leg{weld(100)}},
		"briefly out":     {bore.Helix, 360, []leg{weld(100), wait(0.2)}},
		"out":             {bore.Helix, 360, []leg{weld(100), cold(20), wait(2)}},
		"burning again":   {bore.Rings, 360, []leg{weld(100), wait(2), weld(100)}},
		"a second stroke": {bore.SegmentReversing, 360, []leg{weld(180), wait(2), weld(-90)}},
		"in a closing":    {bore.Rings, 3600, []leg{weld(370)}},
	} {
		t.Run(name, func(t *testing.T) {
			j := job(x.job)
			l := newLathe(j, x.counts)
			l.WireSpeed(0.08)
			l.play(x.legs...)
			now, open := l.UnderWay()
			require.True(t, open)
			again, _ := l.UnderWay()
			require.Equal(t, now, again, "asking changes nothing")
			l.Finish()
			ended := l.passes[len(l.passes)-1]
			require.Empty(t, now.Course.State)
			require.NotEmpty(t, ended.Course.State)
			require.NotEmpty(t, ended.Rotation)
			ended.Course.State, ended.Course.Turned, ended.Rotation, ended.Waveform = "", 0, now.Rotation, nil
			require.Equal(t, ended, now)
		})
	}
}

// Rings and strokes are counted over their layer while one is under way; a helix has none.
func TestSplitter_Parts(t *testing.T) {
	parts := func(pattern bore.Pattern, legs ...leg) (number, planned int) {
		return newLathe(job(pattern), 360).play(legs...).Parts()
	}
	number, rings := parts(bore.Rings, weld(360), cold(1), wait(20), weld(90))
	require.Equal(t, 2, number)
	require.Greater(t, rings, 1)
	number, strokes := parts(bore.SegmentReversing, weld(180), wait(2), weld(-90))
	require.Equal(t, 2, number)
	require.Greater(t, strokes, 1)
	number, planned := parts(bore.SegmentReversing)
	require.Zero(t, number, "no pass is under way")
	require.Zero(t, planned)
	number, planned = parts(bore.Helix, weld(100))
	require.Zero(t, number)
	require.Zero(t, planned)
}

func TestSplitter_UnderWay_none(t *testing.T) {
	l := newLathe(job(bore.Helix), 360).play(wait(1))
	_, open := l.UnderWay()
	require.False(t, open)
	l.play(weld(720), wait(1))
	_, open = l.UnderWay()
	require.False(t, open, "it is complete")
}

// Of a bead whose whole length is declared nobody knows how far it has come.
func TestSplitter_UnderWay_straight(t *testing.T) {
	j := job(bore.Straight)
	l := newLathe(j, 0).play(burn(2))
	now, _ := l.UnderWay()
	require.NotNil(t, now.HeatInput)
	j.Deposit.Length = 0.1
	l = newLathe(j, 0).play(burn(2))
	now, _ = l.UnderWay()
	require.InDelta(t, 1.99, float64(now.ArcTime), 1e-9)
	require.Nil(t, now.Travel)
	require.Nil(t, now.TravelSpeed)
	require.Nil(t, now.ArcEnergy)
	require.Nil(t, now.HeatInput)
	require.Nil(t, now.ExpandedUncertainty)
	require.Empty(t, now.Budget)
	require.Empty(t, now.Verdict)
	require.NotNil(t, l.end()[0].HeatInput)
}

// A bead round a bore has its way told, though a length may stand in the job.
func TestSplitter_UnderWay_helixWithALength(t *testing.T) {
	j := job(bore.Helix)
	j.Deposit.Length = 0.1
	now, _ := newLathe(j, 360).play(weld(90)).UnderWay()
	require.NotNil(t, now.HeatInput)
}

// For how long the arc burns, or is out.
func TestSplitter_Since(t *testing.T) {
	l := newLathe(job(bore.Helix), 360)
	since := func() float64 {
		x, known := l.Since()
		require.True(t, known)
		return float64(x)
	}
	_, known := l.Since()
	require.False(t, known)
	l.play(wait(1))
	_, known = l.Since()
	require.False(t, known, "no arc was struck")
	l.play(burn(2))
	require.InDelta(t, 1.99, since(), 1e-9)
	l.play(wait(0.2))
	require.InDelta(t, 2.19, since(), 1e-9, "it may be a brief arc-out")
	l.play(wait(0.8))
	require.InDelta(t, 1, since(), 1e-9)
	l.play(burn(0.5))
	require.InDelta(t, 0.49, since(), 1e-9)
	l.play(wait(20))
	require.InDelta(t, 20, since(), 1e-9)
	l.Epoch(1)
	_, known = l.Since()
	require.False(t, known)
	l.tick, l.any = 0, false
	l.play(wait(1))
	_, known = l.Since()
	require.False(t, known, "none in this epoch")
	now, any := l.Now()
	require.True(t, any)
	require.Equal(t, Moment{Epoch: 1, Tick: 990 * ms}, now)
}

// Out within a pass, and where it went out.
func TestSplitter_Off(t *testing.T) {
	l := newLathe(job(bore.Helix), 360).play(wait(1))
	_, _, out := l.Off()
	require.False(t, out, "no pass is under way")
	l.play(weld(90))
	_, _, out = l.Off()
	require.False(t, out)
	l.play(wait(0.3))
	_, _, out = l.Off()
	require.False(t, out, "it may be a brief one")
	l.play(wait(1.7))
	from, off, out := l.Off()
	require.True(t, out)
	require.InDelta(t, 2, float64(off), 1e-9)
	require.Equal(t, Moment{Tick: 3490 * ms}, from.Moment)
	require.InDelta(t, 90, float64(from.Place.Angle), 2)
	require.False(t, l.Burning())
	l.play(burn(0.1))
	require.True(t, l.Burning())
}

// Where the torch is, which way it went, and how fast.
func TestSplitter_whereabouts(t *testing.T) {
	j := job(bore.Helix)
	j.Rotation.StartAngle = 30
	l := newLathe(j, 360).play(weld(360), wait(12), cold(-100), weld(-90))
	require.True(t, l.Measured())
	require.InDelta(t, -90.0/360, l.Went(), 0.01)
	at := l.At(l.tick)
	require.InDelta(t, 170.0/360, at.Turns, 0.01)
	require.Equal(t, heat.TravelMeasured, at.Basis)
	require.InDelta(t, 200, float64(at.Place.Angle), 2)
	require.InDelta(t, 30, float64(l.PlaceOf(5).Angle), 1e-6)
	require.Equal(t, bore.PathPerTurn(bore.Helix, 0.1, 0.003), l.PathPerTurn())
	_, basis := l.Turning()
	require.Equal(t, heat.TravelMeasured, basis)

	l = newLathe(job(bore.Helix), 0).play(weld(90))
	require.False(t, l.Measured())
	n, basis := l.Turning()
	require.InDelta(t, 0.1, float64(n), 1e-12)
	require.Equal(t, heat.TravelDeclared, basis)

	l = newLathe(job(bore.Straight), 0).play(burn(1))
	require.Zero(t, l.PathPerTurn())
	require.Nil(t, l.At(l.tick).Place)
	j = job(bore.Helix)
	j.Rotation.Speed = 0
	l = newLathe(j, 0).play(burn(1))
	require.Nil(t, l.PlaceOf(1))
	require.Equal(t, Position{Moment: Moment{Tick: 5}}, l.At(5))
}

// How much of the layer is laid, with the pass under way.
func TestSplitter_Layer(t *testing.T) {
	for name, x := range map[string]struct {
		pattern bore.Pattern
		gaps    []bore.Gap
		legs    []leg
		layer   int
		done    float64
	}{
		"a helix, nothing yet":          {bore.Helix, nil, []leg{wait(1)}, 1, 0},
		"a helix":                       {bore.Helix, nil, []leg{weld(360)}, 1, 0.5},
		"a helix that resumes":          {bore.Helix, nil, []leg{weld(360), wait(12), weld(180)}, 1, 0.75},
		"a helix, full":                 {bore.Helix, nil, []leg{weld(720), wait(1)}, 1, 1},
		"a helix, the next layer":       {bore.Helix, nil, []leg{weld(720), wait(2), weld(180)}, 2, 0.25},
		"half of a ring":                {bore.Rings, nil, []leg{weld(180)}, 1, 0.25},
		"a ring and a half":             {bore.Rings, nil, []leg{weld(360), wait(2), weld(180)}, 1, 0.75},
		"half of the rest of a ring":    {bore.Rings, nil, []leg{weld(180), wait(12), weld(90)}, 1, 0.375},
		"a ring over its own beginning": {bore.Rings, nil, []leg{weld(380)}, 1, 0.5},
		"half of a stroke":              {bore.SegmentReversing, []bore.Gap{half}, []leg{weld(90)}, 1, 0.25},
		"a stroke of two in two":        {bore.SegmentReversing, quarters, []leg{weld(90), wait(2)}, 1, 0.25},
		"a stroke and a half of them":   {bore.SegmentReversing, quarters, []leg{weld(90), wait(2), weld(-45)}, 1, 0.375},
		"a plate":                       {bore.Straight, nil, []leg{burn(1)}, 0, 0},
	} {
		t.Run(name, func(t *testing.T) {
			j := job(x.pattern, x.gaps...)
			if len(x.gaps) == 1 {
				j.Rotation.StartAngle = 90
			}
			layer, done := newLathe(j, 360).play(x.legs...).Layer()
			require.Equal(t, x.layer, layer)
			require.InDelta(t, x.done, float64(done), 0.005)
		})
	}
}

// A listener of several tells each of them, in their order.
func TestListeners(t *testing.T) {
	a, b := &lathe{}, &lathe{}
	all := Listeners{a, b}
	all.Begin(&Pass{Number: 3}, Position{})
	all.Resume(Position{}, Position{Turns: 1}, quantity.Seconds(2))
	all.Burn(&Bucket{Turns: 4})
	all.Rest(Position{})
	all.End(&Pass{Number: 3})
	for _, l := range []*lathe{a, b} {
		require.Equal(t, []string{"begin 3", "resume", "rest", "end 3"}, l.told)
		require.Equal(t, []string{"2.000 from 0.000 to 1.000"}, l.resume)
		require.Equal(t, []Bucket{{Turns: 4}}, l.burned)
	}
}
