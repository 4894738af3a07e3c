package sensorbox

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// strokes is a layer of two strokes in each of two segments: 116 to 200 degrees
// and 240 to 80.
func strokes(pattern Pattern) Plan {
	p := brisk()
	p.Pattern, p.StartAngle = pattern, 116
	p.Gaps = append(p.Gaps, Gap{From: 200, To: 240})
	return p
}

// countAt returns the last turn count at a tick.
func countAt(rec recording, tick int64) float64 {
	count := 0.0
	for _, s := range rec.turns {
		if s.tick <= tick {
			count = s.v
		}
	}
	return count
}

func TestStrokes(t *testing.T) {
	for _, c := range []struct {
		pattern    Pattern
		begin, end []float64 // degrees from the start angle
	}{
		{SegmentReversing, []float64{0, 84, 124, 324}, []float64{84, 0, 324, 124}},
		{SegmentOneWay, []float64{0, 0, 124, 124}, []float64{84, 84, 324, 324}},
	} {
		t.Run(string(c.pattern), func(t *testing.T) {
			rec := record(t, strokes(c.pattern))
			require.Len(t, rec.truth.Passes, 4)
			for k, p := range rec.truth.Passes {
				assert.Equal(t, 1, p.Layer)
				assert.Equal(t, k%2+1, p.Ring)
				assert.InDelta(t, float64(k%2)*0.003, float64(p.Depth), 1e-12)
				assert.Len(t, p.Arcs, 1)
				width := math.Abs(c.end[k]-c.begin[k]) / 360
				assert.InDelta(t, width, p.Turns, 1e-9)
				assert.InEpsilon(t, width*math.Pi*0.092, float64(p.Path), 0.01)
				assert.InDelta(t, c.begin[k], countAt(rec, p.Start.Tick), 1)
				assert.InDelta(t, c.end[k], countAt(rec, p.End.Tick+50e6), 1)
			}
		})
	}
}

func TestStrokesMeetFaultsByTheirWay(t *testing.T) {
	p := strokes(SegmentReversing)
	p.Faults = []Fault{
		{Kind: ArcOut, Pass: 1, Turn: 1, From: 150, Duration: 0.5},
		{Kind: ArcOut, Pass: 2, Turn: 1, From: 150, Duration: 0.5},
		{Kind: WireSlip, Pass: 4, Turn: 1, From: 30, To: 300},
	}
	truth := record(t, p).truth
	require.Len(t, truth.Faults, 3)
	for k, want := range []float64{150, 150, 30} {
		assert.InDelta(t, want, float64(truth.Faults[k].Angle), 0.1)
		assert.Equal(t, p.Faults[k].Pass, truth.Faults[k].Pass)
	}
	assert.InDelta(t, 90.0/30, float64(truth.Faults[2].Duration), 0.01, "anti-clockwise, 30 degrees a second")
}

func TestInterruptionMakesTwoPasses(t *testing.T) {
	if testing.Short() {
		t.Skip("it lays whole passes")
	}
	p := brisk()
	p.Faults = []Fault{{Kind: Interruption, Pass: 1, Turn: 1, From: 250, Duration: 20}}
	truth := record(t, p).truth
	require.Len(t, truth.Passes, 2)
	first, second := truth.Passes[0], truth.Passes[1]
	assert.InDelta(t, 250.0/360, first.Turns, 1e-3)
	assert.InDelta(t, 2-250.0/360, second.Turns, 1e-3)
	assert.Equal(t, 1, second.Layer)
	assert.Equal(t, 1, second.Resumes)
	assert.Zero(t, first.Resumes)
	assert.InDelta(t, 0.003*250/360, float64(second.Depth), 1e-5)
	assert.InDelta(t, 20, float64(second.Start.Tick-first.End.Tick)/1e9, 0.3)
}

func TestStrokePlanErrors(t *testing.T) {
	for _, c := range []struct {
		field  string
		change func(*Plan)
	}{
		{"RotationSpeed", func(p *Plan) { p.RotationSpeed = -p.RotationSpeed }},
		{"StartAngle", func(p *Plan) { p.StartAngle = 130 }},
		{"Faults[0].Turn", func(p *Plan) { p.Faults = []Fault{{Kind: WireSlip, Turn: 2, To: 9}} }},
		{"Faults[0].Pass", func(p *Plan) { p.Faults = []Fault{{Kind: WireSlip, Pass: 5}} }},
		{"Faults[0].Duration", func(p *Plan) { p.Faults = []Fault{{Kind: Interruption, Turn: 1, Duration: 5}} }},
	} {
		p := strokes(SegmentReversing)
		c.change(&p)
		_, err := New(p)
		var flawed *PlanError
		require.ErrorAs(t, err, &flawed, c.field)
		assert.Equal(t, c.field, flawed.Field)
	}
}
