package rotation

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

// Three gaps, a turn from one to the next, each 1.25 dial turns after the last and
// 0.1 wide: the dial shows 1.25 of a true turn.
//
//	order = 1/1.25 = 0.8
//	u     = hypot(0, edge)/sqrt(2*2)/1.25^2      sum of squares of the turns -1, 0, 1: 2
func TestFitCrossings_even(t *testing.T) {
	found := []crossing{{outage{0, 0.1}, 5}, {outage{1.25, 1.35}, 6}, {outage{2.5, 2.6}, 7}}
	e, ok := fitCrossings(found, 0.01)
	require.True(t, ok)
	require.InDelta(t, 0.8, e.order, 1e-12)
	require.InDelta(t, 0.005/1.5625, e.uncertainty, 1e-12)
	require.InDelta(t, 0, e.wander, 1e-12)
	require.Equal(t, FromGaps, e.from)
}

// The middle one of three comes 0.003 turns late. The line goes through their mean,
// 0.001 late: residuals -0.001, 0.002, -0.001 at both edges.
//
//	scatter = sqrt( 2*(1+4+1)e-6 / (2*3-3) ) = 0.002
//	u       = hypot(0.002, 0.001)/sqrt(2*2)
func TestFitCrossings_scatter(t *testing.T) {
	found := []crossing{{outage{0, 0.1}, 0}, {outage{1.003, 1.103}, 1}, {outage{2, 2.1}, 2}}
	e, ok := fitCrossings(found, 0.001)
	require.True(t, ok)
	require.InDelta(t, 1, e.order, 1e-12)
	require.InDelta(t, math.Hypot(0.002, 0.001)/2, e.uncertainty, 1e-12)
	require.InDelta(t, 0.002, e.wander, 1e-12)
}

// The edges differ: where it goes out, late by 0, 0.003, 0, where it is struck by 0, 0,
// 0.003. Slopes are 1 and 1.0015.
//
//	order   = 1/1.00075
//	rest    = (-0.001+0.00075)^2 + 0.002^2 + (-0.001-0.00075)^2
//	        + (-0.001+0.00075)^2 + (-0.001)^2 + (0.002-0.00075)^2
func TestFitCrossings_edgesOfTheirOwn(t *testing.T) {
	found := []crossing{{outage{0, 0.1}, 0}, {outage{1.003, 1.1}, 1}, {outage{2, 2.103}, 2}}
	e, ok := fitCrossings(found, 0.001)
	require.True(t, ok)
	require.InDelta(t, 1/1.00075, e.order, 1e-12)
	rest := 2*0.25*0.25 + 2*2 + 1.75*1.75 + 1*1 + 1.25*1.25
	scatter := 1e-3 * math.Sqrt(rest/3)
	require.InDelta(t, scatter/1.00075, e.wander, 1e-12)
	require.InDelta(t, math.Hypot(scatter, 0.001)/2/(1.00075*1.00075), e.uncertainty, 1e-12)
}

// A torch that turns unevenly, by more than three times its edges, has the mean
// rotation from the first gap to the last: 2 turns in 2.4 and 2.5 dial turns.
//
//	order = 2*2/(2.4 + 2.5)     u = scatter*sqrt(2)/2.4*order
func TestFitCrossings_uneven(t *testing.T) {
	found := []crossing{{outage{1, 1.1}, 5}, {outage{2.3, 2.4}, 6}, {outage{3.4, 3.6}, 7}}
	even, ok := fitCrossings(found, 0.1)
	require.True(t, ok)
	scatter := even.wander / even.order
	e, ok := fitCrossings(found, scatter/3*0.999)
	require.True(t, ok)
	order := 4 / 4.9
	require.InDelta(t, order, e.order, 1e-12)
	require.InDelta(t, scatter*math.Sqrt2/2.4*order, e.uncertainty, 1e-12)
	require.InDelta(t, scatter*order, e.wander, 1e-12)
	require.Equal(t, FromGaps, e.from)
	e, _ = fitCrossings(found, scatter/3*1.001)
	require.InDelta(t, even.order, e.order, 1e-15)

	found = []crossing{{outage{0, 0.1}, 0}, {outage{1.003, 1.103}, 1}, {outage{2, 2.1}, 2}}
	even, _ = fitCrossings(found, 1)
	edge := even.wander / 3
	require.InDelta(t, even.wander, uneven*edge, 0, "three times the edges, exactly")
	e, _ = fitCrossings(found, edge)
	require.InDelta(t, math.Hypot(even.wander, edge)/2, e.uncertainty, 1e-12)
}

// Two turns from the first gap to the last are a rhythm, three gaps in one are none.
func TestFitCrossings_turns(t *testing.T) {
	_, ok := fitCrossings([]crossing{{outage{0, 0.1}, 0}, {outage{0.3, 0.4}, 0.3}, {outage{1, 1.1}, 1}}, 0.01)
	require.False(t, ok)
	_, ok = fitCrossings([]crossing{{outage{0, 0.1}, 0}, {outage{0.3, 0.4}, 0.3}, {outage{1.9, 2}, 1.9}}, 0.01)
	require.True(t, ok, "nearly two, as the torch may wander")
	_, ok = fitCrossings([]crossing{{outage{5, 5.1}, 5}, {outage{5.3, 5.4}, 5.3}, {outage{6.8, 6.9}, 6.89}}, 0.01)
	require.False(t, ok)
}

// A gap of 36 degrees from 80 on; the pass begins at 30, so the torch comes to it
// after 50. An outage may be out by 8 + 7.2 degrees.
func TestRhythm_match(t *testing.T) {
	r := newRhythm(gapJob(bore.Gap{From: 80, To: 116}))
	out := func(from, width float64) outage { return outage{from / 360, (from + width) / 360} }
	for name, x := range map[string]struct {
		out   outage
		order float64
		off   float64 // degrees
		ok    bool
	}{
		"on it":                   {out(50, 36), 1, 0, true},
		"late":                    {out(60, 36), 1, 10, true},
		"early":                   {out(40, 36), 1, -10, true},
		"a turn later":            {out(415, 36), 1, 5, true},
		"just short enough":       {out(50, 20.9), 1, 0, true},
		"too short":               {out(50, 20.7), 1, 0, false},
		"just long enough":        {out(50, 51.1), 1, 0, true},
		"too long":                {out(50, 51.3), 1, 0, false},
		"the torch is slower":     {out(62.5, 45), 0.8, 0, true},
		"so slow that it is late": {out(75, 45), 0.8, 10, true},
	} {
		t.Run(name, func(t *testing.T) {
			off, ok := r.match(x.out, x.order)
			require.Equal(t, x.ok, ok)
			require.InDelta(t, x.off/360, off, 1e-12)
		})
	}
	two := newRhythm(gapJob(bore.Gap{From: 80, To: 116}, bore.Gap{From: 140, To: 176}))
	off, _ := two.match(out(60, 36), 1)
	require.InDelta(t, 10.0/360, off, 1e-12, "the nearer one is the first")
	off, _ = two.match(out(100, 36), 1)
	require.InDelta(t, -10.0/360, off, 1e-12, "the nearer one is the second")

	wide := newRhythm(gapJob(bore.Gap{From: 80, To: 125}))
	for _, width := range []float64{45 + 17, 45 - 17} { // 8 + 20 % of 45
		_, ok := wide.match(outage{0, width / 360}, 1)
		require.True(t, ok, width)
	}

	even := newRhythm(gapJob(bore.Gap{From: 120, To: 165}, bore.Gap{From: 210, To: 255}))
	off, _ = even.match(outage{0.375, 0.5}, 1) // 0.25 and 0.5 turns to the gaps: both as near
	require.InDelta(t, 0.125, off, 0, "the first of two that are as near")
}

// laps are so many outages of one gap, a turn apart, at an order of 1.
func laps(n int) (outs []outage) {
	for k := range n {
		from := float64(k) + 50.0/360
		outs = append(outs, outage{from, from + 0.1})
	}
	return outs
}

// lostArc is an outage that is as long as the gap, but so many turns after it.
func lostArc(turn, after float64) outage {
	from := turn + 50.0/360 + after
	return outage{from, from + 0.1}
}

// shortOut is an outage that is too short for the gap.
func shortOut(turn float64) outage { return outage{turn, turn + 0.01} }

// Six of ten outages must be gaps, three at least.
func TestRhythm_ofGaps_enough(t *testing.T) {
	r := newRhythm(gapJob(bore.Gap{From: 80, To: 116}))
	r.outages = append(laps(5), shortOut(4.3), shortOut(4.4), shortOut(4.5), shortOut(4.6), laps(6)[5])
	e, ok := r.ofGaps()
	require.True(t, ok)
	require.InDelta(t, 1, e.order, 1e-9)
	r.outages = append(r.outages, shortOut(5.5))
	_, ok = r.ofGaps()
	require.False(t, ok)
	r.outages = laps(2)
	_, ok = r.ofGaps()
	require.False(t, ok)
}

// The angles of the gaps are held against their mean: 8 degrees beside it is one.
func TestRhythm_crossings(t *testing.T) {
	r := newRhythm(gapJob(bore.Gap{From: 80, To: 116}))
	late := func(degrees float64) []outage {
		outs := laps(9)
		outs[4].from, outs[4].to = outs[4].from+degrees/360, outs[4].to+degrees/360
		return outs
	}
	r.outages = late(8.9) // the mean is about 1 later as well
	require.Len(t, r.crossings(1), 9)
	r.outages = late(9.1)
	require.Len(t, r.crossings(1), 8)
	r.outages = late(-8.9)
	found := r.crossings(1)
	require.Len(t, found, 9)
	for k, c := range found {
		require.Equal(t, r.outages[k], c.out)
		require.InDelta(t, found[0].turn+float64(k), c.turn, 1e-9, "whole turns apart")
	}

	const most = 8.0 / 360 // from a start angle of 30 to a gap at 30: the first off by as much as may be, and back
	r = newRhythm(gapJob(bore.Gap{From: 30, To: 66}))
	r.outages = []outage{{most, most + 0.1}, {-most, -most + 0.1}}
	require.Len(t, r.crossings(1), 2)
}

// A torch that turns slower or faster than the dial is found as far as 0.72 and 1.38
// of it: not at twice the speed, where an oval bore would be.
func TestRhythm_ofGaps_range(t *testing.T) {
	for order, found := range map[float64]bool{0.6: false, 0.73: true, 1.37: true, 1.7: false} {
		r := newRhythm(gapJob(bore.Gap{From: 80, To: 116}))
		for _, o := range laps(12) {
			r.outages = append(r.outages, outage{o.from / order, o.to / order})
		}
		e, ok := r.ofGaps()
		if found {
			require.True(t, ok, order)
			require.InDelta(t, order, e.order, 1e-9)
		} else if ok {
			require.Greater(t, math.Abs(order-e.order), 0.01)
		}
	}
}

// gapped returns a torch in a helix with a gap of 36 degrees that is reached 50 degrees
// after the beginning, whose dial says so many turns a second.
func gapped(speed float64) *Torch {
	job := gapJob(bore.Gap{From: 80, To: 116})
	job.Rotation.Speed = quantity.TurnsPerSecond(speed)
	t := NewTorch(job)
	t.BeginPass(0, true)
	return t
}

// cross lays outages of so many dial turns.
func cross(t *Torch, speed float64, outs ...outage) {
	tick := func(turns float64) int64 { return int64(turns / speed * s) }
	for _, o := range outs {
		t.Outage(tick(o.from), tick(o.to), true)
	}
}

// slower are the outages of a torch that makes 0.8 of the turns on the dial.
func slower(outs []outage) (seen []outage) {
	for _, o := range outs {
		seen = append(seen, outage{o.from / 0.8, o.to / 0.8})
	}
	return seen
}

// With the third gap the rotation is derived, and derived again with the sixth.
func TestTorch_Outage(t *testing.T) {
	torch := gapped(0.1)
	outs := slower(laps(6))
	cross(torch, 0.1, outs[:2]...)
	require.Equal(t, heat.TravelDeclared, torch.Basis())
	cross(torch, 0.1, outs[2])
	require.Equal(t, heat.TravelDerived, torch.Basis())
	require.InDelta(t, 0.8, torch.At(10*s).Turns, 1e-6)
	before := torch.Doubt()
	cross(torch, 0.1, outs[3:5]...)
	require.InDelta(t, before, torch.Doubt(), 0)
	cross(torch, 0.1, outs[5])
	require.Less(t, torch.Doubt(), before/2, "the square of the turns: 17.5 for 2")
	require.Equal(t, FromGaps, torch.Account(6, 60*s).From)
	torch.BeginPass(0, true)
	require.Equal(t, heat.TravelDeclared, torch.Basis())
	cross(torch, 0.1, outs[:2]...)
	require.Equal(t, heat.TravelDeclared, torch.Basis(), "the outages of the pass before are forgotten")
}

// An outage in which data is missing may be longer than it was seen.
func TestTorch_Outage_notSeen(t *testing.T) {
	torch := gapped(0.1)
	for _, o := range laps(9) {
		torch.Outage(int64(o.from*10*s), int64(o.to*10*s), false)
	}
	require.Empty(t, torch.rhythm.outages)
	require.Equal(t, heat.TravelDeclared, torch.Basis())
}

// So many outages are kept, and no more.
func TestTorch_Outage_most(t *testing.T) {
	torch := gapped(0.1)
	cross(torch, 0.1, laps(260)...)
	require.Len(t, torch.rhythm.outages, 256)
}

// A derived rotation is used where it is known to 2 %. Three gaps whose edges are at
// most 20 ms off, which a torch of 2 turns a second makes 0.04 turns:
//
//	u = 0.02 s * n / sqrt(2*2) = 1.9 % at 1.9/s, 2.1 % at 2.1/s
func TestTorch_derivedWhereKnownWellEnough(t *testing.T) {
	for speed, basis := range map[float64]heat.TravelBasis{1.9: heat.TravelDerived, 2.1: heat.TravelDeclared} {
		torch := gapped(speed)
		cross(torch, speed, laps(3)...)
		require.Equal(t, basis, torch.Basis(), speed)
	}
}

// When the pass is over, all of it is looked at: what its beginning looked like does
// not stand.
func TestTorch_Settle(t *testing.T) {
	torch := gapped(0.1)
	outs := laps(9)
	cross(torch, 0.1, outs[:3]...)
	require.Equal(t, heat.TravelDerived, torch.Basis())
	cross(torch, 0.1, lostArc(2, 0.3), lostArc(2, 0.7))
	require.Equal(t, heat.TravelDerived, torch.Basis(), "it is looked for again at six outages")
	cross(torch, 0.1, lostArc(2, 0.9))
	require.True(t, torch.Settle())
	require.Equal(t, heat.TravelDeclared, torch.Basis())
	cross(torch, 0.1, outs[4:]...)
	require.True(t, torch.Settle())
	require.Equal(t, heat.TravelDerived, torch.Basis())
}

// Only a helix without counts, by a declared rotation, has a rhythm to look for.
func TestTorch_searchesOnlyAHelix(t *testing.T) {
	for name, change := range map[string]func(*procedure.Job, *Torch){
		"rings":   func(j *procedure.Job, _ *Torch) { j.Deposit.Pattern = bore.Rings },
		"strokes": func(j *procedure.Job, _ *Torch) { j.Deposit.Pattern = bore.SegmentReversing },
		"stands":  func(j *procedure.Job, _ *Torch) { j.Rotation.Speed = 0 },
		"counted": func(_ *procedure.Job, t *Torch) { t.CountsPerTurn(360); t.Count(0, 0); t.Count(s, 1) },
	} {
		t.Run(name, func(t *testing.T) {
			job := gapJob(bore.Gap{From: 80, To: 116})
			job.Rotation.Speed = 0.1
			torch := NewTorch(job)
			change(job, torch)
			torch.BeginPass(0, true)
			cross(torch, 0.1, laps(9)...)
			torch.Hear(0, s, s, 100)
			require.Empty(t, torch.rhythm.outages)
			require.NotEqual(t, heat.TravelDerived, torch.Basis())
			require.False(t, torch.Settle())
			require.Zero(t, torch.Account(9, 90*s).Searched)
		})
	}
}
