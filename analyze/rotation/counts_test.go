package rotation

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

// s is a second of ticks.
const s = 1_000_000_000

// counting returns a torch in a pass by counts, so many of them a turn; what follows
// are ticks and counts. It has passed all of them.
func counting(perTurn float64, counts ...int64) *Torch {
	t := NewTorch(&procedure.Job{})
	t.CountsPerTurn(perTurn)
	t.BeginPass(-100*s, true)
	for k := 0; k < len(counts); k += 2 {
		t.Count(counts[k], counts[k+1])
		t.Pass(counts[k], counts[k])
	}
	t.anchors.struck = false
	t.BeginPass(0, true)
	return t
}

// at wants the turns at a tick, in counts of the torch.
func at(t *testing.T, torch *Torch, tick int64, counts float64) {
	t.Helper()
	require.InDelta(t, counts, torch.counts.perTurn*torch.Dial(tick), 1e-9)
}

// Between two counts the torch is where they say; after the last it goes on at their
// rate, but never past the next one, which would have been heard of.
func TestCounts_goOnBetweenCounts(t *testing.T) {
	torch := counting(360, 0, 100, 1000, 101, 2000, 102)
	require.Equal(t, heat.TravelMeasured, torch.Basis())
	at(t, torch, 1500, 1.5)
	at(t, torch, 2000, 2)
	at(t, torch, 2500, 2.5)
	at(t, torch, 3000, 3)
	at(t, torch, 9000, 3)
}

// Before there is a rate the torch is where its last count was.
func TestCounts_oneCountAlone(t *testing.T) {
	torch := counting(360, 500, 77)
	at(t, torch, 0, 0)
	at(t, torch, 9000, 0)
}

// A count that falls is passed at its upper border.
func TestCounts_anticlockwise(t *testing.T) {
	torch := counting(360, 0, 100, 1000, 99, 2000, 98)
	at(t, torch, 2500, -2.5)
	at(t, torch, 9000, -3)
}

// A torch that turns back first passes the mark that it passed last: half of the time
// between it went on.
func TestCounts_turnBack(t *testing.T) {
	torch := counting(360, 0, 0, 1000, 5, 2000, 6, 3000, 5, 4000, 4) // mark 6, back over 6 and 5
	at(t, torch, 2000, 6)
	at(t, torch, 2500, 6.5)
	at(t, torch, 3000, 6)
	at(t, torch, 3500, 5.5)
	at(t, torch, 4000, 5)
}

// A torch that stands still repeats its count; one that comes late, or twice at one
// tick, says nothing new.
func TestCounts_thatSayNothing(t *testing.T) {
	torch := counting(360, 0, 0, 1000, 1, 500_000, 1)
	at(t, torch, 600_000, 2)
	torch.Count(700_000, 2)
	torch.Pass(700_000, 700_000)
	at(t, torch, 700_000, 2)
	torch.Count(700_000, 9)
	torch.Count(600_000, 9)
	at(t, torch, 700_000, 2)
}

// A counter that stands at the border of two counts and shakes says one and the other,
// hundreds of times; the torch stays where it is, and goes on from there.
func TestCounts_thatShake(t *testing.T) {
	torch := counting(36, 0, 0)
	say := func(tick, count int64) {
		torch.Count(tick, count)
		torch.Pass(tick, tick)
	}
	say(1000, 1)
	for k := range int64(400) {
		say(2000+10*k, 2-k%2)
		at(t, torch, 2000+10*k, 2)
	}
	say(9000, 3)
	at(t, torch, 9000, 3)
}

// A second count that comes long after the first changes nothing of what was told before
// it: which way the torch turns then is not what it was taken to do at first.
func TestCounts_aLateSecondChangesNothing(t *testing.T) {
	for _, second := range []int64{6, 4} {
		torch := NewTorch(&procedure.Job{Rotation: procedure.Rotation{Speed: 0.01}})
		torch.CountsPerTurn(8)
		torch.Count(5*s, 5)
		before, _ := torch.counts.where(2*s, torch)
		torch.Count(5*s+13*s, second) // alike: a count takes 12.5 s
		torch.counts.marks[1].tick = 60 * s
		after, _ := torch.counts.where(2*s, torch)
		require.InDelta(t, before, after, 0)
	}
}

// Ticks may lie before 0.
func TestCounts_beforeTickZero(t *testing.T) {
	torch := counting(360, -3000, 5, -2000, 6, -1000, 7)
	require.InDelta(t, 0.5, torch.counts.perTurn*(torch.Dial(-1500)-torch.Dial(-2000)), 1e-9)
	require.InDelta(t, 0.5, torch.counts.perTurn*(torch.Dial(-1000)-torch.Dial(-1500)), 1e-9)
}

// The angle is kept over a restart, where the counter begins anew.
func TestCounts_restart(t *testing.T) {
	torch := counting(360, 0, 0, 1000, 90)
	torch.Epoch(1, 1000)
	require.False(t, torch.Measured())
	require.False(t, torch.Known())
	require.False(t, torch.Counted())
	torch.BeginPass(40, false)
	require.True(t, torch.Measured())
	at(t, torch, 40, 90)
	basis, _ := torch.AngleBasis()
	require.Equal(t, Unknown, basis)
	require.Equal(t, NoAngle, torch.AngleUncertainty(0))
	torch.Count(50, 7)
	torch.Count(60, 8)
	torch.Pass(60, 60)
	require.True(t, torch.Counted())
	torch.BeginPass(60, false)
	at(t, torch, 60, 91)
	torch.Epoch(2, 60)
	torch.Epoch(3, 60)
	torch.BeginPass(0, false)
	at(t, torch, 0, 91)
}

// A counter without a description tells no angle, until it is described.
func TestCounts_notDescribed(t *testing.T) {
	torch := counting(0, 0, 5, 1000, 95)
	require.False(t, torch.Measured())
	torch.CountsPerTurn(360)
	torch.BeginPass(0, true)
	require.InDelta(t, 0.25, torch.Dial(1000), 1e-12)
	torch.CountsPerTurn(0)
	require.Zero(t, torch.Dial(20), "it is taken for nothing, and for no number at all")
	require.Zero(t, torch.Account(0.25, s).Uncertainty)
}

func TestCounts_noneNoPass(t *testing.T) {
	torch := counting(360)
	require.False(t, torch.Measured())
	require.False(t, torch.Counted())
	require.Equal(t, Turned{}, torch.At(5))
}

// A box may say a count as it starts, and no other, where nothing is wired to its
// counter: it was taken for a torch that stands, and the heat input for two hundred times
// as high as it was. Of a counter that moves, if late, or of few counts, nothing is
// concluded; and one that moved in an earlier pass and stands now says that the torch does.
func TestTorch_deadCounter(t *testing.T) {
	for name, c := range map[string]struct {
		perTurn  float64
		later    []int64 // ticks of changes
		measured bool
	}{
		"never moved":            {360, nil, false},
		"moves late":             {360, []int64{10 * s}, true},
		"moves when it is over":  {360, []int64{300 * s}, false},
		"one count a turn":       {1, nil, true},
		"one a turn, that moves": {1, []int64{40 * s}, true},
	} {
		torch := NewTorch(&procedure.Job{Rotation: procedure.Rotation{Speed: 0.05}})
		torch.CountsPerTurn(c.perTurn)
		torch.Count(0, 0)
		for k, tick := range c.later {
			torch.Count(tick, int64(k+1))
		}
		torch.BeginPass(s, true)
		require.Equal(t, c.measured, torch.Measured(), name)
		require.Equal(t, !c.measured, torch.Dead() == 1, name)
		torch.Pass(400*s, 400*s)
		torch.EndPass(400 * s)
		if c.perTurn > 1 && c.later != nil {
			torch.BeginPass(500*s, true)
			require.True(t, torch.Measured(), "%s: it has moved", name)
		}
	}
}

// Few counts cannot tell where a stroke ended: each goes by its plan.
func TestTorch_tooFewCountsForAStroke(t *testing.T) {
	job := &procedure.Job{Rotation: procedure.Rotation{Speed: 0.1}}
	job.Deposit = bore.Deposit{Pattern: bore.SegmentReversing, Gaps: []bore.Gap{{From: 90, To: 180}, {From: 270, To: 360}}}
	for counts, measured := range map[float64]bool{8: false, 11: false, 12: true, 360: true} {
		torch := NewTorch(job)
		torch.CountsPerTurn(counts)
		torch.Count(0, 0)
		torch.Count(s, 1)
		torch.BeginPass(0, true)
		require.Equal(t, measured, torch.Measured(), counts)
		require.Equal(t, !measured, torch.TooFew())
	}
}

// motion is a stretch of time in which the torch turns evenly, but for a wobble.
type motion struct {
	seconds float64
	turns   float64
	struck  bool // with the arc on: a pass
}

// route is what a torch did, from one moment to the next.
type route struct {
	motions []motion
	wobble  float64 // amplitude of the speed, once a turn, as a share of it
}

// turns is where the torch really is at a tick.
func (r route) turns(tick int64) float64 {
	at, left := 0.0, float64(tick)/s
	for _, m := range r.motions {
		share := max(0, min(1, left/m.seconds))
		at, left = at+m.turns*share, left-m.seconds
	}
	return at + r.wobble/(2*math.Pi)*math.Sin(2*math.Pi*at)
}

// counts hands the torch what a counter would have said, at its marks alone. Where the
// count is said at rest too, it is said at the beginning.
func (r route) counts(torch *Torch, perTurn float64, atRest bool) {
	end := 0.0
	for _, m := range r.motions {
		end += m.seconds
	}
	last := int64(math.Floor(r.turns(0) * perTurn))
	if atRest {
		torch.Count(0, last)
	}
	for tick := int64(0); tick < int64(end*s); tick += s / 1000 {
		if n := int64(math.Floor(r.turns(tick) * perTurn)); n != last {
			last = n
			torch.Count(tick, n)
		}
	}
}

// Wherever it is jogged before, however few the counts, and whenever the first of them
// comes: once it is struck the torch is where it really is, within what is said to be
// uncertain of it.
func TestTorch_isWhereItIs(t *testing.T) {
	routes := map[string]route{
		"jogged forward, a helix":    {motions: []motion{{3, 1.3, false}, {5, 0, false}, {240, 5, true}}},
		"jogged backward":            {motions: []motion{{3, -1.3, false}, {5, 0, false}, {240, 5, true}}},
		"not jogged":                 {motions: []motion{{30, 0, false}, {240, 5, true}}},
		"anti-clockwise":             {motions: []motion{{3, 0.4, false}, {5, 0, false}, {240, -5, true}}},
		"slower than declared":       {motions: []motion{{5, 0, false}, {300, 5.7, true}}},
		"wobbling":                   {motions: []motion{{4, 0.6, false}, {240, 5, true}}, wobble: 0.08},
		"rings with pauses":          {motions: []motion{{4, 0.6, false}, {48, 1, true}, {20, 0, false}, {48, 1, true}, {35, 0, false}, {48, 1, true}}},
		"rings, jogged in between":   {motions: []motion{{4, 0.6, false}, {48, 1, true}, {20, 0.3, false}, {48, 1, true}, {35, -0.1, false}, {48, 1, true}}},
		"rings, jogged to and fro":   {motions: []motion{{4, 0.6, false}, {48, 1, true}, {4, -1.4, false}, {4, 1.4, false}, {48, 1, true}, {4, -1.4, false}, {4, 1.4, false}, {48, 1, true}}},
		"rings that stop in the mid": {motions: []motion{{4, 0.6, false}, {34, 0.7, true}, {300, 0, false}, {48, 1, true}}},
	}
	for name, r := range routes {
		for _, perTurn := range []float64{1, 8, 36, 60, 360, 4096} {
			for _, atRest := range []bool{true, false} {
				t.Run(fmt.Sprint(name, " ", perTurn, " ", atRest), func(t *testing.T) { r.follow(t, perTurn, atRest) })
			}
		}
	}
}

// follow lets the torch go the route, and holds it against where it really is.
func (r route) follow(t *testing.T, perTurn float64, atRest bool) {
	torch := NewTorch(&procedure.Job{Rotation: procedure.Rotation{Speed: 1.0 / 48}})
	torch.CountsPerTurn(perTurn)
	r.counts(torch, perTurn, atRest)
	zero, first, from := 0.0, true, int64(0)
	for _, m := range r.motions {
		until := from + int64(m.seconds*s)
		if m.struck {
			torch.passTo(from)
			torch.BeginPass(from, true)
			require.True(t, torch.Measured())
			if first {
				zero, first = torch.Dial(from)-r.turns(from), false
			}
			for tick := from; tick < until; tick += s / 10 {
				torch.passTo(tick)
				torch.Hear(tick-1, tick, 1, 1)
				off := 360 * (torch.Dial(tick) - zero - r.turns(tick))
				require.LessOrEqual(t, math.Abs(off), float64(torch.AngleUncertainty(0)), "at %.1f s, %.1f in its pass", float64(tick)/s, float64(tick-from)/s)
			}
			torch.EndPass(until)
		}
		from = until
	}
}

// passTo passes the counts up to a tick one by one, as samples do.
func (t *Torch) passTo(tick int64) {
	for t.counts.passed < len(t.counts.marks) && t.counts.marks[t.counts.passed].tick <= tick {
		t.Pass(t.counts.marks[t.counts.passed].tick, t.counts.marks[t.counts.passed].tick)
	}
}

// The last mark before a tick is the same wherever the samples have come.
func TestCounts_before(t *testing.T) {
	c := counts{marks: []mark{{tick: 10}, {tick: 20}, {tick: 30}}}
	for tick, want := range map[int64]int{9: -1, 10: 0, 19: 0, 20: 1, 29: 1, 30: 2, 99: 2} {
		for c.passed = 0; c.passed <= len(c.marks); c.passed++ {
			require.Equal(t, want, c.before(tick), "tick %d, %d passed", tick, c.passed)
		}
	}
}

// What is steady goes by the counts in a turn, of whoever speaks now.
func TestCounts_steady(t *testing.T) {
	c := counts{perTurn: 360}
	for _, perTurn := range []float64{360, 1, 0, 4} {
		fresh := counts{perTurn: perTurn}
		c.perTurn = perTurn
		require.Equal(t, fresh.steady(), c.steady())
		require.Equal(t, fresh.steady(), c.steady())
	}
	l := math.Pi / 4
	require.InDelta(t, 1+alike+2*unevenness*math.Sin(l)/l, c.steady(), 1e-15)
}

// How well a place is known goes by the step and by the counts in a turn, whatever was asked
// before.
func TestTorch_stand(t *testing.T) {
	for _, perTurn := range []float64{360, 4} {
		for _, step := range []stepDoubt{{gone: 1}, {gone: 1, carried: true}, {}, {gone: 2, jumped: true}} {
			fresh, used := NewTorch(&procedure.Job{}), NewTorch(&procedure.Job{})
			used.counts.perTurn = 8
			used.stand(stepDoubt{gone: 1})
			used.counts.perTurn = 360
			used.stand(stepDoubt{gone: 1})
			fresh.counts.perTurn, used.counts.perTurn = perTurn, perTurn
			fresh.stand(step)
			used.stand(step)
			require.Equal(t, fresh.astray, used.astray, "%v of %g counts", step, perTurn)
			require.Equal(t, step, used.step)
		}
	}
}
