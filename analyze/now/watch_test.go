package now

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

func TestWatch_beforeAnySample(t *testing.T) {
	w, torch, _, _ := looking()
	torch.none, torch.burning = true, true
	assert.Equal(t, Status{}, w.Status())
}

func TestWatch_betweenPasses(t *testing.T) {
	w, torch, judge, _ := looking()
	torch.now, torch.at.Place, torch.at.Basis = pass.Moment{Epoch: 2, Tick: 9 * second}, &bore.Place{Angle: 90, Depth: 0.001, AngleUncertainty: 3}, heat.TravelMeasured
	torch.off, torch.went = 3, 1.5
	judge.open = []finding.Open{{Rule: finding.ArcOut}}
	s := w.Status()
	assert.True(t, s.Any)
	assert.False(t, s.ArcOn)
	assert.Nil(t, s.Since)
	assert.Nil(t, s.Pass)
	assert.Nil(t, s.Forecast)
	assert.Equal(t, judge.open, s.Deviations)
	assert.Equal(t, pass.Moment{Epoch: 2, Tick: 9 * second}, judge.asked.Moment, "as it stands now")
	assert.Equal(t, quantity.Seconds(3), judge.off)
	assert.Equal(t, &Where{Angle: 90, AngleUncertainty: 3, Depth: 0.001, Basis: heat.TravelMeasured}, s.Where)
	assert.True(t, *s.InGap)
	torch.at.Basis = heat.TravelDeclared
	assert.Nil(t, w.Status().Where, "between passes only counted turns tell")
	assert.Nil(t, w.Status().InGap)
}

func TestWatch_passUnderWay(t *testing.T) {
	w, torch, _, _ := looking()
	torch.now, torch.burning, torch.since = pass.Moment{Tick: 65 * second}, true, new(quantity.Seconds(2.5))
	torch.at.Place, torch.at.Basis, torch.went = &bore.Place{Angle: 117}, heat.TravelDeclared, -1.3
	torch.pass = &pass.Pass{Number: 7, Start: pass.Moment{Tick: 5 * second}, Turns: new(1.3)}
	torch.layer, torch.done = 1, 0.25
	s := w.Status()
	assert.True(t, s.ArcOn)
	assert.Equal(t, quantity.Seconds(2.5), *s.Since)
	assert.False(t, *s.InGap)
	require.NotNil(t, s.Pass)
	assert.Equal(t, 7, s.Pass.Number)
	assert.InDelta(t, 60, float64(s.Pass.SinceStart), 1e-9)
	assert.Nil(t, s.Pass.PlannedTurns)
	assert.Nil(t, s.Pass.Done)
	assert.Equal(t, 2, s.Where.Turn)
	assert.InDelta(t, 1.3, s.Where.Turned, 1e-15)
	assert.Equal(t, 1, s.Where.Layer)
	assert.Equal(t, quantity.Ratio(0.25), *s.Where.LayerDone)
	torch.pass.Course.Planned = 4
	s = w.Status()
	assert.Equal(t, 4.0, *s.Pass.PlannedTurns)
	assert.InDelta(t, 0.325, float64(*s.Pass.Done), 1e-12)
	torch.pass.Turns = new(4.4)
	assert.Equal(t, quantity.Ratio(1), *w.Status().Pass.Done, "not more than all")
	torch.pass.Turns = nil
	assert.Nil(t, w.Status().Pass.Done)
	torch.layer = 0
	assert.Nil(t, w.Status().Where.LayerDone)
}

// The plan closes the bore from 92 to 84 mm in two layers.
func TestWatch_layerSettings(t *testing.T) {
	w, torch, _, _ := looking()
	s := w.Status()
	assert.Nil(t, s.PlannedLayers, "no layer has begun")
	torch.layer = 1
	s = w.Status()
	require.NotNil(t, s.PlannedLayers)
	require.Equal(t, 2, *s.PlannedLayers)
	require.NotNil(t, s.NextLayer)
	assert.Equal(t, 1, s.Layer.Layer)
	assert.Equal(t, quantity.Metres(0.092), s.Layer.Diameter)
	assert.Equal(t, 2, s.NextLayer.Layer)
	assert.Less(t, s.NextLayer.Diameter, s.Layer.Diameter)
	assert.InEpsilon(t, float64(bore.RotationFor(s.NextLayer.Diameter, 0.005)), float64(s.NextLayer.Window.Low), 1e-12)
	torch.layer = 2
	s = w.Status()
	assert.Equal(t, 2, s.Layer.Layer)
	assert.Nil(t, s.NextLayer)
	torch.layer = 3
	assert.Nil(t, w.Status().Layer, "the plan has no such layer")

	unplanned, torch, _, _ := looking()
	unplanned.job.Deposit.WireDiameter, torch.layer = 0, 1
	assert.Nil(t, unplanned.Status().PlannedLayers)
}

// The newest reading shows while there is no mean, and is not judged; how old it is counts
// on the clock of its own epoch.
func TestWatch_readings(t *testing.T) {
	w, torch, judge, _ := looking()
	torch.now.Tick = 10 * second
	w.WireSpeed(9*second, 0.2)
	w.GasFlow(8*second, 1e-4)
	w.Temperature(11*second, 240)
	s := w.Status()
	assert.Equal(t, quantity.MetresPerSecond(0.2), *s.WireSpeed.Value)
	assert.Empty(t, s.WireSpeed.State)
	assert.Equal(t, quantity.Seconds(1), s.WireSpeed.Age)
	assert.Equal(t, quantity.CubicMetresPerSecond(1e-4), *s.GasFlow.Value)
	assert.Equal(t, quantity.Seconds(2), s.GasFlow.Age)
	assert.Equal(t, NearEdge, s.Temperature.State, "the wall is judged by its last reading")
	assert.Zero(t, s.Temperature.Age, "a reading may be newer than the newest sample")
	judge.means.Wire = finding.Mean{Value: 0.08, Known: true, Full: true}
	judge.means.Gas = finding.Mean{Value: 2.5e-4, Known: true}
	s = w.Status()
	assert.Equal(t, quantity.MetresPerSecond(0.08), *s.WireSpeed.Value)
	assert.Equal(t, Inside, s.WireSpeed.State)
	assert.Nil(t, s.WireSpeed.Low)
	assert.Equal(t, quantity.CubicMetresPerSecond(2.5e-4), *s.GasFlow.Value)
	assert.Empty(t, s.GasFlow.State, "the mean is not full yet")
	w.Epoch()
	s = w.Status()
	assert.Equal(t, Gauge[quantity.MetresPerSecond]{Window: w.job.Procedure.Limits.WireSpeed}, s.WireSpeed)
	assert.Nil(t, s.GasFlow.Value)
	assert.Nil(t, s.Temperature.Value)
	assert.Empty(t, s.Temperature.State)
}

// What is seen between passes comes from the judge.
func TestWatch_seen(t *testing.T) {
	w, _, judge, _ := looking()
	judge.seen = "the wire feeds"
	require.Equal(t, "the wire feeds", w.Status().Seen)
}
