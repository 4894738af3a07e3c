package sensorbox

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ringPlan is two layers of two rings, 3 mm apart, from 10 degrees on, with gaps of
// 80 to 116 and 350 to 5 degrees; the torch turns 36 degrees a second.
func ringPlan() Plan {
	p := Demo()
	p.Pattern, p.Length, p.Layers = Rings, 6e-3, 2
	p.Gaps = append(p.Gaps, Gap{From: 350, To: 5})
	p.StartAngle, p.RotationSpeed = 10, 0.1
	p.Lead, p.LayerPause, p.RingPause = 2, 25, 3
	return p.withDefaults()
}

func TestPlan_countsItsPasses(t *testing.T) {
	rings := ringPlan()
	helix, segments := rings, rings
	helix.Pattern, helix.Length = Helix, 7.5e-3
	segments.Pattern, segments.StartAngle = SegmentOneWay, 5
	assert.Equal(t, [4]float64{1, 2, 2, 4}, counts(rings))
	assert.Equal(t, [4]float64{2.5, 1, 1, 2}, counts(helix))
	assert.Equal(t, [4]float64{1, 2, 4, 8}, counts(segments), "two segments of two strokes")
	rings.Length = 8.9999e-3
	assert.Equal(t, 2, rings.rings(), "no part of a ring")
	rings.Length = 9e-3 // 2.9999999999999996 rings by the arithmetic
	assert.Equal(t, 3, rings.rings())
}

// Three rings are told apart, and the last stroke of a segment from the first of the next.
func TestTorch_begins(t *testing.T) {
	p := ringPlan()
	p.Length = 9e-3
	torch := newTorch(p)
	assert.Equal(t, 360.0, torch.total)
	for pass, ring := range []int{1: 0, 2: 1, 3: 2, 4: 0} {
		if torch.pass = pass; pass > 0 {
			assert.Equal(t, ring, torch.ring())
		}
	}
	p.Pattern = Helix
	assert.InDelta(t, 1080, newTorch(p).total, 1e-9)

	p.Pattern, p.StartAngle = SegmentOneWay, 5
	torch = newTorch(p)
	torch.pass, torch.turned, torch.turnedAll = 3, 75, 110.9
	assert.True(t, torch.begin(), "it stands where the fourth begins, or nearly")
	assert.Equal(t, [4]float64{4, 0, 234, 111}, [4]float64{float64(torch.pass), torch.turned, torch.total, torch.turnedAll})
	torch.turned, torch.turnedAll, torch.phase = 234, 345, waiting
	assert.False(t, torch.begin(), "it turns back first")
	assert.Equal(t, [2]float64{4, 234}, [2]float64{float64(torch.pass), torch.turned})
	assert.Equal(t, waiting, torch.phase)
}

func counts(p Plan) [4]float64 {
	return [4]float64{p.turns(), float64(p.rings()), float64(p.perLayer()), float64(p.passes())}
}

func TestTorch_whereItIs(t *testing.T) {
	rings := newTorch(ringPlan())
	for pass, want := range map[int][3]int{1: {1, 0, 0}, 2: {1, 1, 1}, 3: {2, 0, 0}, 4: {2, 1, 1}} {
		rings.pass = pass
		last := 0
		if rings.lastOfLayer() {
			last = 1
		}
		assert.Equal(t, want, [3]int{rings.layer(), rings.ring(), last}, "pass %d", pass)
		assert.InDelta(t, 3e-3*float64(want[1]), rings.depth(), 1e-15)
	}
	rings.turned = 355
	assert.Equal(t, 5.0, rings.angle())
	rings.direction = -1
	assert.Equal(t, 15.0, rings.angle())
	assert.InEpsilon(t, math.Pi*0.092/4, rings.path(90), 1e-12)

	p := ringPlan()
	p.Pattern = Helix
	helix := newTorch(p)
	helix.turned = 90
	assert.InDelta(t, 0.75e-3, helix.depth(), 1e-15)
	assert.InEpsilon(t, math.Hypot(math.Pi*0.092, 3e-3)/4, helix.path(90), 1e-12)

	p.Pattern, p.StartAngle = SegmentReversing, 5
	stroke := newTorch(p)
	stroke.turnedAll = 400
	assert.InDelta(t, 45, stroke.angle(), 1e-12)
	assert.False(t, stroke.inGap())
}

// The gap from 80 to 116 degrees lies 70 to 106 behind the start clockwise, 254 to
// 290 anti-clockwise. Its end belongs to the arc, and a hair before it counts as it.
func TestTorch_gaps(t *testing.T) {
	torch := newTorch(ringPlan())
	for turned, want := range map[float64]bool{
		0: false, 69.99: false, 70: true, 100: true, 105.99: true, 106 - 0.5e-7: false, 106: false, 339.9: false, 340: true, 354.9: true, 355: false,
	} {
		torch.turned = turned
		assert.Equal(t, want, torch.inGap(), "%g turned", turned)
	}
	torch.direction = -1
	for turned, want := range map[float64]bool{253.99: false, 254.01: true, 289.99: true, 290.01: false} {
		torch.turned = turned
		assert.Equal(t, want, torch.inGap(), "%g turned back", turned)
	}
}

func TestTorch_gas(t *testing.T) {
	torch := newTorch(ringPlan())
	for _, c := range []struct {
		name  string
		phase phase
		pass  int
		now   float64
		want  bool
	}{
		{"before the first pass", waiting, 0, 1.49, false},
		{"half a second before it", waiting, 0, 1.5, true},
		{"between two rings", waiting, 1, 0, true},
		{"between two layers", waiting, 2, 1.49, false},
		{"half a second before the next layer", waiting, 2, 1.5, true},
		{"after the last", waiting, 4, 5, false},
		{"striking", striking, 1, 0, true},
		{"turning", turning, 1, 0, true},
		{"finishing", finishing, 4, 0, true},
		{"done", done, 4, 0, false},
	} {
		torch.phase, torch.pass, torch.until = c.phase, c.pass, 2
		assert.Equal(t, c.want, torch.gasOn(c.now), c.name)
	}
}

func TestTorch_wantsTheArc(t *testing.T) {
	torch := newTorch(ringPlan())
	for _, c := range []struct {
		phase  phase
		turned float64
		want   bool
	}{{waiting, 0, false}, {striking, 80, true}, {turning, 0, true}, {turning, 80, false}, {finishing, 0, false}, {done, 0, false}} {
		torch.phase, torch.turned = c.phase, c.turned
		assert.Equal(t, c.want, torch.arcWanted(), "%+v", c)
	}
}

// A whole run of the machine with an arc that follows at once: 2 s, then four rings
// of 10 s with 3 s or 25 s between, and 2 s.
func TestTorch_advances(t *testing.T) {
	torch := newTorch(ringPlan())
	var begins, ends []float64
	now := 0.0
	for step := 0; torch.phase != done; step++ {
		now = float64(step) * controlTime
		on := torch.arcWanted()
		began, ended := torch.advance(now, 1, on, on)
		if began {
			begins = append(begins, now)
		}
		if ended {
			ends = append(ends, now)
			require.Equal(t, 360.0, torch.turned)
		}
		require.Less(t, now, 100.0)
	}
	require.Len(t, begins, 4)
	require.Len(t, ends, 4)
	for k, want := range []float64{2, 15, 50, 63} {
		assert.InDelta(t, want, begins[k], 0.02)
		assert.InDelta(t, want+10, ends[k], 0.02)
	}
	assert.InDelta(t, 75, now, 0.05)
	assert.InDelta(t, 4*360, torch.turnedAll, 1e-9)
}

func TestTorch_waitsForTheArc(t *testing.T) {
	torch := newTorch(ringPlan())
	began, ended := torch.advance(1.999, 1, false, false)
	assert.False(t, began || ended)
	began, ended = torch.advance(2, 1, false, false)
	assert.True(t, began && !ended)
	torch.advance(3, 1, false, true)
	assert.Equal(t, striking, torch.phase)
	torch.advance(3, 1, true, true)
	assert.Equal(t, turning, torch.phase)
	torch.advance(3, 0.5, true, true)
	assert.InDelta(t, 0.018, torch.turned, 1e-12, "at half its speed")
	torch.turned = 360 - 0.036 - 0.5e-7 // a hair more than a step before the end
	torch.advance(3, 1, true, true)
	assert.Equal(t, finishing, torch.phase)
	assert.Equal(t, 360.0, torch.turned)
	for _, c := range []struct{ arc, source, ended bool }{{true, true, false}, {false, true, false}, {true, false, false}, {false, false, true}} {
		_, ended = torch.advance(9, 1, c.arc, c.source)
		assert.Equal(t, c.ended, ended, "%+v", c)
	}
	assert.Equal(t, 12.0, torch.until, "a ring's pause")
}

func TestTorch_endsTheLastStepBeforeTheEnd(t *testing.T) {
	torch := newTorch(ringPlan())
	torch.phase, torch.turned = turning, 360-0.036-2e-7
	torch.turn(1)
	assert.Equal(t, turning, torch.phase, "two hairs are left")
	torch.turn(1)
	assert.Equal(t, finishing, torch.phase)
}

func TestTorch_rests(t *testing.T) {
	torch := newTorch(ringPlan())
	for pass, want := range map[int]float64{1: 3, 2: 25, 3: 3, 4: 2} {
		torch.pass = pass
		torch.rest(100)
		assert.Equal(t, waiting, torch.phase)
		assert.Equal(t, 100+want, torch.until, "after pass %d", pass)
	}
}

// The source stays on for 30 steps after the feed has stopped, and then until no
// wire stands in the pool.
func TestTorch_burnsTheWireBack(t *testing.T) {
	torch := newTorch(ringPlan())
	a := atRest(burning)
	torch.burnBack = 9
	torch.drive(a, true, 0.1)
	assert.Equal(t, [3]float64{0.1, 0, 1}, [3]float64{a.feedTarget, torch.burnBack, map[bool]float64{true: 1}[a.sourceOn]})
	for step := 1; a.sourceOn; step++ {
		a.contact = draining
		if step >= 35 {
			a.contact = burning
		}
		torch.drive(a, false, 0.1)
		require.Equal(t, step < 35, a.sourceOn, "step %d", step)
		require.Zero(t, a.feedTarget)
	}
	for contact, off := range map[contact]bool{burning: true, open: true, fusing: false, bridged: false, draining: false} {
		a = atRest(contact)
		torch.burnBack = 0.0285
		torch.drive(a, false, 0)
		assert.True(t, a.sourceOn, "29.5 ms")
		torch.drive(a, false, 0)
		assert.Equal(t, off, !a.sourceOn, "contact %d", contact)
	}
	a.sourceOn, torch.burnBack = false, 0
	torch.drive(a, false, 0)
	assert.Zero(t, torch.burnBack, "it is off already")
}

// 1e-6 m^3 of wire, of which 0.95 become bead, over 6 mm and the 309 degrees that the
// gaps of 36 and 15 degrees leave: 4*0.95e-6/(pi*6e-3*0.8583333) = 2.348694e-4 m^2.
func TestTorch_closesTheBore(t *testing.T) {
	torch := newTorch(ringPlan())
	torch.closeBore(1e-6)
	assert.InDelta(t, math.Sqrt(0.092*0.092-2.348694e-4), torch.diameter, 1e-9)
	torch.closeBore(1)
	assert.Zero(t, torch.diameter, "there is no more to close")
}

func TestTorch_turnsEitherWay(t *testing.T) {
	p := ringPlan()
	assert.Equal(t, 1.0, newTorch(p).direction)
	p.RotationSpeed = -0.1
	torch := newTorch(p)
	assert.Equal(t, -1.0, torch.direction)
	torch.turn(1)
	assert.InDelta(t, 0.036, torch.turned, 1e-12, "always counted forwards")
}

// Strokes of 5 to 80 and 116 to 350 degrees: 0 to 75 and 111 to 345 from the start.
// The first two are in the first segment; back to back they turn.
func TestTorch_strokes(t *testing.T) {
	p := ringPlan()
	p.StartAngle = 5
	for pattern, want := range map[Pattern][]stroke{
		SegmentOneWay:    {{segment{0, 75}, 1}, {segment{0, 75}, 1}, {segment{111, 345}, 1}, {segment{111, 345}, 1}, {segment{0, 75}, 1}},
		SegmentReversing: {{segment{0, 75}, 1}, {segment{0, 75}, -1}, {segment{111, 345}, 1}, {segment{111, 345}, -1}, {segment{0, 75}, 1}},
	} {
		p.Pattern = pattern
		torch := newTorch(p)
		for k, s := range want {
			torch.pass = k + 1
			assert.Equal(t, s, torch.stroke(), "%s %d", pattern, k)
			begin := s.from
			if s.way < 0 {
				begin = s.to
			}
			assert.Equal(t, begin, s.begin())
		}
	}
	// Without arc it turns four times as fast: 0.144 degrees a step.
	torch := newTorch(p)
	torch.turnedAll = 1
	assert.False(t, torch.goTo(0.5))
	assert.InDelta(t, 0.856, torch.turnedAll, 1e-12)
	assert.False(t, torch.goTo(1.2))
	assert.InDelta(t, 1, torch.turnedAll, 1e-12)
	assert.True(t, torch.goTo(1.1))
	assert.Equal(t, 1.1, torch.turnedAll)
	p.Gaps = nil
	assert.Equal(t, []segment{{0, 360}}, p.segments(), "a full turn")
	p.Gaps, p.StartAngle = []Gap{{From: 20, To: 60}}, 60
	assert.Equal(t, []segment{{0, 320}}, p.segments(), "nothing between the gap and the start")
}
