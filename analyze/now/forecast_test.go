package now

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// halfway is a watch over a pass of four turns, two of which are laid with 0.54 m of bead
// and 240 kJ; the torch stands at 116 degrees, at the end of the gap.
func halfway() (*Watch, *torch) {
	w, torch, _, _ := looking()
	budget := heat.Budget{{Name: heat.Current, Uncertainty: 0.01}}
	torch.pass = &pass.Pass{Number: 1, Energy: 240e3, ArcTime: 90, Turns: new(2.0), Travel: new(quantity.Metres(0.54)), Budget: budget}
	torch.pass.Course.Planned = 4
	torch.at.Place, torch.went, torch.turning, torch.basis = &bore.Place{Angle: 116}, 2, 0.02, heat.TravelDeclared
	w.Begin(nil, pass.Position{})
	for k := range 1024 { // 2450 W over two turns
		w.Burn(burned(float64(k+1)/512, 2450))
	}
	return w, torch
}

// Two turns are left, 1.8 of them to weld, which takes 100 and 90 s at 0.02 turns a
// second. (240 kJ + 2450 W * 90 s)/(0.54 m + 1.8*0.3 m) = 426.39 kJ/m.
func TestWatch_forecast(t *testing.T) {
	w, torch := halfway()
	f := w.Status().Forecast
	require.NotNil(t, f)
	assert.InDelta(t, 100, float64(f.Remaining), 1e-9)
	assert.InDelta(t, 90, float64(f.RemainingArc), 1e-9)
	assert.InDelta(t, 2450, float64(f.Power), 1e-9)
	assert.Equal(t, 1.0, f.PowerTurns)
	assert.InDelta(t, 0.8*426388.9, float64(f.Value), 0.1)
	assert.Equal(t, procedure.EN1011, f.Definition)
	assert.InDelta(t, 0.02*0.8*426388.9, float64(f.Expanded), 0.1)
	assert.Equal(t, Inside, f.State)
	assert.Equal(t, heat.Within, f.Verdict)
	assert.Equal(t, w.job.Procedure.Limits.HeatInput, f.Window)

	w.job.Procedure.Judge.Definition = procedure.ArcEnergy
	w.job.Procedure.Limits.HeatInput.High = 0.42e6
	f = w.Status().Forecast
	assert.InDelta(t, 426388.9, float64(f.Value), 0.1)
	assert.Equal(t, Outside, f.State)
	assert.Equal(t, heat.OutsideNearLimit, f.Verdict)

	torch.pass.Budget = nil
	f = w.Status().Forecast
	assert.Empty(t, f.Verdict, "the uncertainty is not known")
	w.job.Procedure.Process = "forge"
	assert.NotNil(t, w.Status().Forecast, "the arc energy needs no efficiency")
	w.job.Procedure.Judge.Definition = procedure.EN1011
	assert.Nil(t, w.Status().Forecast)
}

// Counted turns say how fast the torch turns at present: 51.2 s a turn.
func TestWatch_forecastByThePresentRotation(t *testing.T) {
	w, torch := halfway()
	torch.basis = heat.TravelMeasured
	f := w.Status().Forecast
	assert.InDelta(t, 2*51.2, float64(f.Remaining), 1e-9)
	assert.InDelta(t, 1.8*51.2, float64(f.RemainingArc), 1e-9)
	w.Begin(nil, pass.Position{})
	w.Burn(burned(0, 2450)) // the torch has not moved yet
	f = w.Status().Forecast
	require.NotNil(t, f)
	assert.InDelta(t, 100, float64(f.Remaining), 1e-9)
}

func TestWatch_noForecast(t *testing.T) {
	for name, spoil := range map[string]func(*Watch, *torch){
		"nothing has burned":    func(w *Watch, _ *torch) { w.Begin(nil, pass.Position{}) },
		"no end is planned":     func(_ *Watch, torch *torch) { torch.pass.Course.Planned = 0 },
		"no travel is known":    func(_ *Watch, torch *torch) { torch.pass.Travel = nil },
		"no rotation is known":  func(_ *Watch, torch *torch) { torch.turning = 0 },
		"no turn has a length":  func(_ *Watch, torch *torch) { torch.around = 0 },
		"no pass":               func(_ *Watch, torch *torch) { torch.pass = nil },
		"nothing was laid, all": func(_ *Watch, torch *torch) { *torch.pass.Travel, torch.pass.Course.Planned = 0, 2 },
	} {
		w, torch := halfway()
		spoil(w, torch)
		assert.Nil(t, w.Status().Forecast, name)
	}
}

// A bead of 0.6 m on a plate at 5 mm/s takes 120 s, 90 of which have burned.
func TestWatch_forecastOfALength(t *testing.T) {
	w, torch := halfway()
	torch.around, w.job.Deposit.Length, w.job.Setpoints.TravelSpeed = 0, 0.6, 0.005
	f := w.Status().Forecast
	require.NotNil(t, f)
	assert.InDelta(t, 30, float64(f.Remaining), 1e-9)
	assert.InDelta(t, 30, float64(f.RemainingArc), 1e-9)
	assert.InDelta(t, 0.8*(240e3+2450*30)/0.6, float64(f.Value), 0.1)
	torch.pass.ArcTime = 130
	assert.Zero(t, w.Status().Forecast.Remaining, "it takes longer than planned")
	w.job.Deposit.Length = 0
	assert.Nil(t, w.Status().Forecast)
	w.job.Deposit.Length, w.job.Setpoints.TravelSpeed = 0.6, 0
	assert.Nil(t, w.Status().Forecast)
}

func TestLeftToWeld(t *testing.T) {
	d := helix().Deposit
	strokes := d
	strokes.Pattern = bore.SegmentReversing
	at := &bore.Place{Angle: 116}
	for name, c := range map[string]struct {
		deposit             bore.Deposit
		at                  *bore.Place
		planned, laid, went float64
		turns, welded       float64
	}{
		"two turns, two gaps":    {d, at, 4, 2, 2, 2, 1.8},
		"anti-clockwise":         {d, at, 4, 2, -2, 2, 1.8},
		"a tenth back is a gap":  {d, at, 2.1, 2, -2, 0.1, 0},
		"a tenth on is none":     {d, at, 2.1, 2, 2, 0.1, 0.1},
		"went further than laid": {d, at, 4, 2, 3, 1, 0.9},
		"turned back":            {d, at, 4, 2, 1, 2, 1.8},
		"laid more than planned": {d, at, 4, 4.5, 4.5, 0, 0},
		"strokes have no gap":    {strokes, at, 4, 2, 2, 2, 2},
		"nobody knows where":     {d, nil, 4, 2, 2, 2, 2},
	} {
		turns, welded := leftToWeld(c.deposit, c.at, c.planned, c.laid, c.went)
		assert.InDelta(t, c.turns, turns, 1e-9, name)
		assert.InDelta(t, c.welded, welded, 1e-9, name)
	}
}
