package now

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
)

// Near is within a tenth of the width of a window of a limit, or of the only limit.
func TestStateOf(t *testing.T) {
	both := between[quantity.Volts](10, 20)
	for v, want := range map[quantity.Volts]WindowState{9.99: Outside, 10: NearEdge, 10.9: NearEdge, 11: Inside, 19: Inside, 19.1: NearEdge, 20: NearEdge, 20.1: Outside} {
		require.Equal(t, want, stateOf(v, both), "%v", v)
	}
	top := quantity.Range[quantity.Celsius]{High: 250, HasHigh: true}
	for v, want := range map[quantity.Celsius]WindowState{-226: Inside, 225: Inside, 226: NearEdge, 251: Outside} {
		require.Equal(t, want, stateOf(v, top), "%v", v)
	}
	bottom := quantity.Range[quantity.Celsius]{Low: -50, HasLow: true}
	for v, want := range map[quantity.Celsius]WindowState{-51: Outside, -46: NearEdge, -45: Inside, 500: Inside} {
		require.Equal(t, want, stateOf(v, bottom), "%v", v)
	}
	require.Empty(t, stateOf(quantity.Celsius(226), quantity.Range[quantity.Celsius]{}))
}

func TestStateIn(t *testing.T) {
	window := between[quantity.Volts](10, 20)
	assert.Empty(t, StateIn(nil, window))
	assert.Equal(t, Inside, StateIn(new(quantity.Volts(15)), window))
	assert.Equal(t, Outside, StateIn(new(quantity.Volts(25)), window))
}

func TestWatch_voltageAndCurrent(t *testing.T) {
	w, _, judge, _ := looking()
	s := w.Status()
	assert.Equal(t, Gauge[quantity.Volts]{Window: between[quantity.Volts](16, 20)}, s.Voltage)
	judge.means.Voltage = finding.Mean{Value: 18, Low: 17, High: 19, Known: true, Full: true}
	judge.means.Current = finding.Mean{Value: 200, Low: 190, High: 210, Known: true}
	s = w.Status()
	assert.Equal(t, Gauge[quantity.Volts]{
		Value: new(quantity.Volts(18)), Low: new(quantity.Volts(17)), High: new(quantity.Volts(19)), Window: between[quantity.Volts](16, 20), State: Inside,
	}, s.Voltage)
	assert.Equal(t, quantity.Amperes(200), *s.Current.Value)
	assert.Empty(t, s.Current.State, "the arc has burned for too short a time")
}

// 0.3 m a turn: the window of 5 to 7 mm/s is one of 1/60 to 7/300 turns a second.
func TestWatch_travel(t *testing.T) {
	w, torch, judge, _ := looking()
	requireTravel := func(basis heat.TravelBasis, travel, rotation float64, state WindowState) {
		t.Helper()
		s := w.Status()
		require.Equal(t, w.job.Procedure.Limits.TravelSpeed, s.Travel.Window)
		require.Equal(t, basis, s.TravelBasis)
		if travel == 0 {
			require.Nil(t, s.Travel.Value)
		} else {
			require.InDelta(t, travel, float64(*s.Travel.Value), 1e-12)
			require.Equal(t, state, s.Travel.State)
		}
		if rotation == 0 {
			require.Nil(t, s.Rotation.Value)
		} else {
			require.InDelta(t, rotation, float64(*s.Rotation.Value), 1e-12)
			require.Equal(t, state, s.Rotation.State)
		}
	}
	requireTravel("", 0, 0, "")
	window := w.Status().Rotation.Window
	require.InDelta(t, 1.0/60, float64(window.Low), 1e-12)
	require.InDelta(t, 7.0/300, float64(window.High), 1e-12)
	require.True(t, window.HasLow && window.HasHigh)

	torch.turning, torch.basis = 0.02, heat.TravelDerived
	requireTravel("", 0, 0, "") // the arc is out
	torch.burning = true
	requireTravel(heat.TravelDerived, 0.006, 0.02, Inside)
	torch.turning = 0.01
	requireTravel(heat.TravelDerived, 0.003, 0.01, Outside)

	torch.measured = true
	requireTravel(heat.TravelMeasured, 0, 0, "")
	judge.means.Travel = finding.Mean{Value: 0.0069, Known: true, Full: true}
	requireTravel(heat.TravelMeasured, 0.0069, 0.023, NearEdge)
	torch.burning = false
	requireTravel(heat.TravelMeasured, 0.0069, 0.023, NearEdge)
	judge.means.Travel.Full = false
	requireTravel(heat.TravelMeasured, 0.0069, 0.023, "")

	// Without turns there is the declared travel, while the arc burns.
	torch.around, torch.burning, w.job.Setpoints.TravelSpeed = 0, true, 0.006
	requireTravel(heat.TravelDeclared, 0.006, 0, Inside)
	require.True(t, w.Status().Rotation.Window.IsZero())
	torch.around, torch.measured, torch.turning = 0.3, false, 0
	requireTravel(heat.TravelDeclared, 0.006, 0, Inside)
	w.job.Setpoints.TravelSpeed = 0
	requireTravel("", 0, 0, "")
}
