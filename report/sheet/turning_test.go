package sheet

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze"
	"arctally/analyze/byangle"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// inventedSweep swings once a turn, with a gap from 80 to 115 degrees.
func inventedSweep() byangle.Sweep {
	s := byangle.Sweep{
		Layer: 2, First: 2, Last: 2, Turns: 12, Basis: heat.TravelDerived, Mean: byangle.Bin{ArcTime: 500, Voltage: 17.5, Current: 140, Power: 2400},
		OffCentre: byangle.Swing{
			Known: true, Found: true, Amplitude: 0.05, Uncertainty: 0.001, Least: 0.004, Crest: 200, CrestDoubt: 1,
			Distance: new(quantity.Metres(1e-3)), DistanceDoubt: new(quantity.Metres(1e-4)),
		},
		Oval:   byangle.Swing{Known: true, Amplitude: 0.0005, Uncertainty: 0.0005, Least: 0.0018, Chance: 0.7},
		ByTurn: []byangle.Turn{{Number: 1, Bin: byangle.Bin{ArcTime: 43, Current: 140}}, {Number: 2}},
	}
	for k := range s.Bins {
		if angle := float64(k) * 5; angle < 80 || angle >= 115 {
			s.Bins[k] = byangle.Bin{ArcTime: 7, Voltage: 17.5, Current: quantity.Amperes(140 + 7*math.Cos((angle-200)*math.Pi/180)), Power: 2400}
		}
	}
	return s
}

func sheetBySweep() *Sheet {
	p := inventedPass(2)
	p.TravelBasis = heat.TravelDerived
	p.Rotation = pass.Rotation{Speed: 1.19 / 60, Uncertainty: 0.001 / 60, Declared: 1.25 / 60, Basis: heat.TravelDerived, From: pass.FromCurrent, Wander: 2, Searched: 12.6}
	return New(Input{RecordName: "x", Job: inventedJob(), Result: analyze.Result{
		Passes: []pass.Pass{p}, Sweeps: []byangle.Sweep{inventedSweep()},
		Findings: []finding.Finding{
			{Number: 1, Rule: finding.OffCentre, Pass: 2, Worst: 0.05, Limit: 0.004, Beyond: 0.046},
			{Number: 2, Rule: finding.WallPatch, Pass: 2, Worst: 4, Limit: 3, Beyond: 1, Parts: []int{3}},
			{Number: 3, Rule: finding.ArcOut, Pass: 2, Worst: 1, PartOf: 2},
		},
	}})
}

func TestSheet_rotationAndAngles(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, sheetBySweep().JSON(&b))
	var got struct {
		Passes []struct {
			Rotation *RotationRow `json:"rotation"`
		} `json:"passes"`
		ByAngle  []SweepRow   `json:"by_angle"`
		Findings []FindingRow `json:"findings"`
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &got))
	r := got.Passes[0].Rotation
	require.NotNil(t, r)
	assert.InDelta(t, 1.19, *r.Speed, 1e-12)
	assert.InDelta(t, 0.002, *r.ExpandedUncertainty, 1e-12)
	assert.InDelta(t, 1.25, *r.Declared, 1e-12)
	assert.Equal(t, "derived", r.Basis)
	assert.Equal(t, "current rhythm", r.From)
	s := got.ByAngle[0]
	assert.Len(t, s.Bins, 65, "no bin where there was no arc")
	assert.Len(t, s.ByTurn, 1)
	assert.Equal(t, 2.5, *s.Bins[0].Angle)
	assert.Nil(t, s.Bins[0].WireSpeed)
	assert.InDelta(t, 5, *s.OffCentre.Amplitude, 1e-12)
	assert.InDelta(t, 200, *s.OffCentre.Crest, 1e-12)
	assert.InDelta(t, 0.2, *s.OffCentre.DistanceUncertainty, 1e-12)
	assert.Nil(t, s.Oval.Crest, "what is not found points nowhere")
	assert.Equal(t, "%", got.Findings[0].Unit)
	assert.InDelta(t, 5, *got.Findings[0].Worst, 1e-12)
	assert.Equal(t, "turns", got.Findings[1].Unit)
	assert.Equal(t, []int{3}, got.Findings[1].Parts)
	assert.Equal(t, 2, got.Findings[2].PartOf)
}

func TestSheet_angleViews(t *testing.T) {
	s := sheetBySweep()
	v := s.angleViews()
	require.Len(t, v, 1)
	assert.Equal(t, 2, strings.Count(v[0].Curve, "M"), "one stroke on either side of the gap")
	assert.Len(t, v[0].Crests, 1)
	assert.Contains(t, v[0].Summary, "once a turn: 5.00 %, highest at 200°")
	assert.Contains(t, v[0].Summary, "no swing twice a turn above 0.18 %")
	var b bytes.Buffer
	require.NoError(t, s.HTML(&b))
	assert.Contains(t, b.String(), "Current by angle")
	quiet := inventedSweep()
	quiet.OffCentre = byangle.Swing{}
	assert.Equal(t, []string{"too few turns to tell a swing from noise"}, newAngleView(&quiet).Lines)
}
