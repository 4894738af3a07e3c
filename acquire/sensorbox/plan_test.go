package sensorbox

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPlanErrors(t *testing.T) {
	for _, c := range []struct {
		field  string
		reason string
		change func(*Plan)
	}{
		{"WornDiameter", "0 m is not within", func(p *Plan) { p.WornDiameter = 0 }},
		{"Pitch", "longer than the bore", func(p *Plan) { p.Length = 2e-3 }},
		{"Pattern", `"spiral" is not known`, func(p *Plan) { p.Pattern = "spiral" }},
		{"Layers", "-1", func(p *Plan) { p.Layers = -1 }},
		{"RotationSpeed", "0 turns/s", func(p *Plan) { p.RotationSpeed = 0 }},
		{"StartAngle", "360 degrees", func(p *Plan) { p.StartAngle = 360 }},
		{"StartAngle", "lies in the gap from 80 to 116", func(p *Plan) { p.StartAngle = 80 }},
		{"Gaps[0]", "not a range of angles", func(p *Plan) { p.Gaps = []Gap{{From: 20, To: 400}} }},
		{"Gaps[1]", "overlaps the gap from 80 to 116", func(p *Plan) { p.Gaps = append(p.Gaps, Gap{From: 100, To: 130}) }},
		{"Gaps", "leave nothing to weld", func(p *Plan) { p.Gaps = []Gap{{From: 5, To: 180}, {From: 180, To: 359}} }},
		{"Voltage", "3 V", func(p *Plan) { p.Voltage = 3 }},
		{"Current", "0 A", func(p *Plan) { p.Current = 0 }},
		{"WireSpeed", "5.5 m/s", func(p *Plan) { p.WireSpeed = 5.5 }},
		{"Link", `"carrier pigeon" is not known`, func(p *Plan) { p.Link = "carrier pigeon" }},
		{"SampleRate", "30000 Hz is not 100 kHz divided", func(p *Plan) { p.SampleRate = 30_000 }},
		{"SampleRate", "500 Hz", func(p *Plan) { p.SampleRate = 500 }},
		{"PlaySpeed", "-1", func(p *Plan) { p.PlaySpeed = -1 }},
		{"Faults[0].Kind", `"gremlins" is not known`, func(p *Plan) { p.Faults = []Fault{{Kind: "gremlins"}} }},
		{"Faults[0].Amount", "2 is not within", func(p *Plan) { p.Faults = []Fault{{Kind: WireSlip, Amount: 2}} }},
		{"Faults[0].Pass", "passes 1 to 2", func(p *Plan) { p.Faults = []Fault{{Kind: WireSlip, Pass: 3}} }},
		{"Faults[0].Turn", "turns 1 to 20", func(p *Plan) { p.Faults = []Fault{{Kind: WireSlip, Turn: 21, To: 9}} }},
		{"Faults[0].Turn", "whole pass", func(p *Plan) { p.Faults = []Fault{{Kind: WireSlip, From: 9}} }},
		{"Faults[0].Turn", "cannot last a whole pass", func(p *Plan) { p.Faults = []Fault{{Kind: ArcOut}} }},
		{"Faults[0].Duration", "needs a duration", func(p *Plan) { p.Faults = []Fault{{Kind: WireSlip, Turn: 1, From: 9, To: 9}} }},
		{"Faults[0].Duration", "-1 s", func(p *Plan) { p.Faults = []Fault{{Kind: WireSlip, Turn: 1, Duration: -1}} }},
		{"Length", "20.3 turns: layers that are counted", func(p *Plan) { p.Length, p.CountsPerTurn = 60.9e-3, 8 }},
		{"JogBefore", "21 turns", func(p *Plan) { p.JogBefore = 21 }},
		{"JogBetween", "-21 turns", func(p *Plan) { p.JogBetween = -21 }},
		{"Wobble", "0.6", func(p *Plan) { p.Wobble = 0.6 }},
		{"CountsPerTurn", "-1", func(p *Plan) { p.CountsPerTurn = -1 }},
		{"CountsLate", "-1 s", func(p *Plan) { p.CountsLate = -1 }},
		{"GatherCounts", "6 s", func(p *Plan) { p.GatherCounts = 6 }},
		{"Faults[0].After", "for a duration", func(p *Plan) { p.Faults = []Fault{{Kind: Reboot, After: true}} }},
		{"Faults[0].After", "without an angle", func(p *Plan) { p.Faults = []Fault{{Kind: Reboot, After: true, Turn: 1, Duration: 1}} }},
		{"Faults[0].After", "only link loss and reboot", func(p *Plan) { p.Faults = []Fault{{Kind: ArcOut, After: true, Duration: 1}} }},
		{"Faults[0]", "angles are from 0 to 360", func(p *Plan) { p.Faults = []Fault{{Kind: WireSlip, Turn: 1, From: 361}} }},
	} {
		t.Run(c.field+" "+c.reason, func(t *testing.T) {
			p := Demo()
			c.change(&p)
			box, err := New(p)
			assert.Nil(t, box)
			var flawed *PlanError
			require.ErrorAs(t, err, &flawed)
			assert.Equal(t, c.field, flawed.Field)
			assert.Contains(t, flawed.Reason, c.reason)
			assert.Contains(t, err.Error(), c.field)
		})
	}
}

func TestDefaults(t *testing.T) {
	p := Demo()
	p.Faults = []Fault{{Kind: WireSlip}}
	box, err := New(p)
	require.NoError(t, err)
	got := box.Plan()
	assert.InDelta(t, 12e-3, float64(got.Standoff), 1e-12)
	assert.EqualValues(t, 10_000, got.SampleRate)
	assert.EqualValues(t, 0.3, got.Hold)
	assert.EqualValues(t, 0.6, got.Faults[0].Amount)
	assert.Zero(t, p.Faults[0].Amount, "the caller's plan is left alone")
}

func TestEveryFaultKindHasItsFigures(t *testing.T) {
	assert.Len(t, amountRange, len(defaultAmount))
	for kind, amount := range defaultAmount {
		limits, ok := amountRange[kind]
		require.True(t, ok, kind)
		assert.True(t, amount >= limits[0] && amount <= limits[1], kind)
	}
}

func TestGapOverTheMark(t *testing.T) {
	g := Gap{From: 350, To: 10}
	for angle, want := range map[float64]bool{349.9: false, 350: true, 0: true, 9.9: true, 10: false, 180: false} {
		assert.Equal(t, want, g.contains(angle), angle)
	}
}

func TestPlanErrorIsNoOther(t *testing.T) {
	_, err := New(Plan{})
	assert.False(t, errors.Is(err, ErrNoPort))
	assert.EqualError(t, err, "sensor box plan: WornDiameter: 0 m is not within 0.02..2")
}
