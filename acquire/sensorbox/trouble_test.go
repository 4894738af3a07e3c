package sensorbox

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/acquire/quantity"
)

// troubleOf is one fault of the plan of rings.
func troubleOf(f Fault, direction float64) (*trouble, *torch) {
	p := ringPlan()
	p.RotationSpeed *= quantity.TurnsPerSecond(direction)
	p.Faults = []Fault{f}
	torch := newTorch(p)
	torch.pass, torch.phase = 1, turning
	return &troublesOf(p)[0], torch
}

// From 100 to 130 degrees in the second turn: 90 to 120 behind the start, and a
// turn; anti-clockwise from 270 on, and 330 to 100 is 130 degrees.
func TestTroubles_whereTheyAre(t *testing.T) {
	for _, c := range []struct {
		fault     Fault
		direction float64
		from, to  float64
	}{
		{Fault{}, 1, 0, math.Inf(1)},
		{Fault{Turn: 2, From: 100, To: 130}, 1, 450, 480},
		{Fault{Turn: 1, From: 330, To: 100}, 1, 320, 450},
		{Fault{Turn: 2, From: 100, To: 70}, -1, 630, 660},
	} {
		trouble, torch := troubleOf(c.fault, c.direction)
		assert.InDelta(t, c.from, trouble.from, 1e-9, "%+v", c.fault)
		if math.IsInf(c.to, 1) {
			assert.Equal(t, c.to, trouble.to)
		} else {
			assert.InDelta(t, c.to, trouble.to, 1e-9, "%+v", c.fault)
		}
		assert.Equal(t, trouble.from, trouble.reached(torch))
		assert.Equal(t, trouble.to, trouble.left(torch))
	}
}

// In strokes from 5 degrees on: a stroke back from 80 meets 60 degrees after 20.
func TestTroubles_inStrokes(t *testing.T) {
	p := ringPlan()
	p.Pattern, p.StartAngle = SegmentReversing, 5
	p.Faults = []Fault{{Turn: 1, From: 60, To: 30}, {}}
	torch := newTorch(p)
	list := troublesOf(p)
	for pass, want := range map[int][2]float64{1: {55, 55 + 330}, 2: {20, 50}} {
		torch.pass, torch.way = pass, torch.stroke().way
		torch.pass = pass
		torch.way = torch.stroke().way
		assert.InDelta(t, want[0], list[0].reached(torch), 1e-9)
		assert.InDelta(t, want[1], list[0].left(torch), 1e-9)
		assert.True(t, math.IsInf(list[1].left(torch), 1), "a whole pass")
	}
}

func TestTroubles_begin(t *testing.T) {
	for _, c := range []struct {
		name   string
		fault  Fault
		set    func(*trouble, *torch)
		begins bool
	}{
		{"whole pass", Fault{}, func(*trouble, *torch) {}, true},
		{"whole pass, before it turns", Fault{}, func(_ *trouble, torch *torch) { torch.phase = striking }, true},
		{"between passes", Fault{}, func(_ *trouble, torch *torch) { torch.phase = waiting }, false},
		{"at its end", Fault{}, func(_ *trouble, torch *torch) { torch.phase = finishing }, false},
		{"its pass", Fault{Pass: 1}, func(*trouble, *torch) {}, true},
		{"another pass", Fault{Pass: 2}, func(*trouble, *torch) {}, false},
		{"under way", Fault{}, func(t *trouble, _ *torch) { t.active = true }, false},
		{"over in this pass", Fault{}, func(t *trouble, _ *torch) { t.doneIn = 1 }, false},
		{"over in the pass before", Fault{}, func(t *trouble, torch *torch) { t.doneIn, torch.pass = 1, 2 }, true},
		{"before its angle", Fault{Turn: 1, From: 100}, func(_ *trouble, torch *torch) { torch.turned = 89.9 }, false},
		{"at its angle", Fault{Turn: 1, From: 100}, func(_ *trouble, torch *torch) { torch.turned = 90 }, true},
		{"at its angle, but it strikes", Fault{Turn: 1, From: 100}, func(_ *trouble, torch *torch) { torch.turned, torch.phase = 90, striking }, false},
	} {
		trouble, torch := troubleOf(c.fault, 1)
		c.set(trouble, torch)
		assert.Equal(t, c.begins, trouble.begins(torch), c.name)
	}
}

func TestTroubles_end(t *testing.T) {
	angles, time := Fault{Kind: GasLoss, Turn: 1, From: 100, To: 130}, Fault{Kind: GasLoss, Turn: 1, From: 100, Duration: 3}
	arcOut := func(f Fault) Fault { f.Kind = ArcOut; return f }
	for _, c := range []struct {
		name   string
		fault  Fault
		phase  phase
		turned float64
		now    float64
		arcOn  bool
		ends   bool
	}{
		{"within its angles", angles, turning, 119.9, 9, true, false},
		{"at its last angle", angles, turning, 120, 9, true, true},
		{"between passes", angles, waiting, 100, 9, true, true},
		{"at the end of all", angles, done, 100, 9, true, true},
		{"within its time", time, waiting, 300, 4.999, true, false},
		{"at the end of its time", time, turning, 100, 5, true, true},
		{"arc out within its time", arcOut(time), turning, 120, 4.999, true, false},
		{"arc out over, not burning yet", arcOut(time), turning, 120, 5, false, false},
		{"arc out over and burning", arcOut(time), turning, 120, 5, true, true},
		{"arc out over in a gap, where none burns", arcOut(time), turning, 80, 5, false, true},
		{"arc out over as the pass ends", arcOut(time), finishing, 360, 5, false, true},
		{"an interruption waits too", Fault{Kind: Interruption, Turn: 1, Duration: 3}, turning, 120, 5, false, false},
	} {
		trouble, torch := troubleOf(c.fault, 1)
		torch.phase, torch.turned, trouble.until = c.phase, c.turned, 5
		assert.Equal(t, c.ends, trouble.ends(torch, c.now, c.arcOn), c.name)
	}
}

func TestTroubles_holdTheArc(t *testing.T) {
	byTime, torch := troubleOf(Fault{Turn: 1, From: 100, Duration: 3}, 1)
	byTime.until = 5
	assert.True(t, byTime.holdsArc(torch, 4.999))
	assert.False(t, byTime.holdsArc(torch, 5))
	byAngle, torch := troubleOf(Fault{Turn: 1, From: 100, To: 130}, 1)
	torch.turned = 119.9
	assert.True(t, byAngle.holdsArc(torch, 99))
	torch.turned = 120
	assert.False(t, byAngle.holdsArc(torch, 99))
}

// What each kind makes of clean conditions; the torch stands at 55 degrees, so that
// Toward 10 lies 45 degrees away.
func TestTroubles_apply(t *testing.T) {
	clean := conditions{feed: 1, rotation: 1, gas: 1, stubbing: 1, standoff: 12e-3}
	for _, c := range []struct {
		fault Fault
		want  func(*conditions)
	}{
		{Fault{Kind: GasLoss, Amount: 0.2}, func(c *conditions) { c.gas = 0.2 }},
		{Fault{Kind: WireSlip, Amount: 0.6}, func(c *conditions) { c.feed = 0.6 }},
		{Fault{Kind: StubbingTip, Amount: 12}, func(c *conditions) { c.stubbing = 12 }},
		{Fault{Kind: WrongVoltage, Amount: -3}, func(c *conditions) { c.volts = -3 }},
		{Fault{Kind: OffCentre, Amount: 1e-3, Toward: 10}, func(c *conditions) { c.standoff = 12e-3 - 1e-3*math.Sqrt2/2 }},
		{Fault{Kind: OffCentre, Amount: 1e-3, Toward: 235}, func(c *conditions) { c.standoff = 13e-3 }},
		{Fault{Kind: OvalBore, Amount: 1e-3, Toward: 10}, func(*conditions) {}},
		{Fault{Kind: OvalBore, Amount: 1e-3, Toward: 55}, func(c *conditions) { c.standoff = 12.25e-3 }},
		{Fault{Kind: OvalBore, Amount: 1e-3, Toward: 145}, func(c *conditions) { c.standoff = 11.75e-3 }},
		{Fault{Kind: RotationDrift, Amount: 0.7}, func(c *conditions) { c.rotation = 0.7 }},
		{Fault{Kind: LinkLoss}, func(c *conditions) { c.lost = true }},
		{Fault{Kind: ArcOut, Turn: 1, Duration: 3}, func(c *conditions) { c.arcOut = true }},
		{Fault{Kind: Interruption, Turn: 1, Duration: 20}, func(c *conditions) { c.rotation, c.halted = 0, true }},
		{Fault{Kind: Reboot, Turn: 1, Duration: 3}, func(*conditions) {}},
	} {
		trouble, torch := troubleOf(c.fault, 1)
		torch.turned, trouble.until = 45, 5
		got, want := clean, clean
		trouble.apply(&got, torch, 4.999)
		c.want(&want)
		assert.InDelta(t, want.standoff, got.standoff, 1e-15, "%+v", c.fault)
		got.standoff = want.standoff
		assert.Equal(t, want, got, "%+v", c.fault)
	}
	over, torch := troubleOf(Fault{Kind: Interruption, Turn: 1, Duration: 20}, 1)
	over.until = 5
	got := clean
	over.apply(&got, torch, 5)
	assert.False(t, got.halted, "the arc is struck again, and the torch still stands")
	assert.Zero(t, got.rotation)
}
