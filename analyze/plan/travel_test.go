package plan

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/procedure"
)

// TestMake_TravelStaysInItsWindow clips set-points and follows a rotation alone.
func TestMake_TravelStaysInItsWindow(t *testing.T) {
	for _, test := range []struct {
		name    string
		change  func(*procedure.Job)
		want    float64 // mm/min in the first layer
		warning string
	}{
		{"as declared", func(*procedure.Job) {}, 300, ""},
		{"too fast", func(j *procedure.Job) { j.Setpoints.TravelSpeed = 0.01 }, 420, "travel-clipped"},
		{"too slow", func(j *procedure.Job) { j.Setpoints.TravelSpeed = 0.001 }, 280, "travel-clipped"},
		{"middle of the window", func(j *procedure.Job) { j.Setpoints.TravelSpeed = 0 }, 350, "assumed"},
		{"rotation alone", func(j *procedure.Job) {
			j.Setpoints.TravelSpeed = 0
			j.Procedure.Limits.TravelSpeed = quantity.Range[quantity.MetresPerSecond]{}
		}, math.Pi * 92 * 1.4, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			j := job(t)
			test.change(j)
			p := made(t, j, Options{})
			assert.InEpsilon(t, test.want, quantity.In(p.Layers[0].Travel, "mm/min"), 1e-12)
			if test.warning != "" {
				assert.Contains(t, kinds(p), test.warning)
			}
		})
	}
}

// Where neither travel nor rotation is declared, one limit of the window is no
// set-point: the plan says what is missing and takes nothing up.
func TestMake_OneLimitIsNoTravel(t *testing.T) {
	for _, window := range []quantity.Range[quantity.MetresPerSecond]{
		{Low: 0.005, HasLow: true}, {High: 0.007, HasHigh: true}, {},
	} {
		j := job(t)
		j.Setpoints.TravelSpeed, j.Rotation.Speed, j.Procedure.Limits.TravelSpeed = 0, 0, window
		_, err := Make(j, Options{})
		var missing *MissingError
		require.ErrorAs(t, err, &missing)
		assert.Equal(t, []string{"setpoints.travel_speed"}, missing.Keys)
		j.Rotation.Speed = 1.0 / 60
		p := made(t, j, Options{})
		assert.InEpsilon(t, math.Pi*0.092/60, float64(p.Layers[0].Travel), 1e-12, "the rotation tells it")
		assert.NotContains(t, kinds(p), "travel-clipped")
		assert.NotContains(t, kinds(p), "assumed")
	}
}

// TestMake_RotationAlone slows from layer to layer, as the machine would, and is judged by it.
func TestMake_RotationAlone(t *testing.T) {
	j := job(t)
	j.Setpoints.TravelSpeed, j.Procedure.Limits.TravelSpeed = 0, quantity.Range[quantity.MetresPerSecond]{Low: 0.0065, HasLow: true}
	p := made(t, j, Options{})
	for _, l := range p.Layers {
		assert.InEpsilon(t, 1.4/60, float64(l.Rotation), 1e-12)
	}
	assert.Contains(t, kinds(p), "travel")
	last := p.Layers[len(p.Layers)-1]
	assert.InEpsilon(t, float64(*last.HeatInput / *p.Layers[0].HeatInput)-1, float64(p.Steady.Rise), 1e-9)
}

func TestMake_SteadyRotation(t *testing.T) {
	j := job(t)
	j.Rotation.Speed = 1.0 / 60 // 289 mm/min at 92 mm, near the lower limit
	j.Procedure.Limits.HeatInput.High = 0.6e6
	p := made(t, j, Options{})
	require.NotNil(t, p.Steady)
	assert.InDelta(t, math.Pi*92, quantity.In(p.Steady.FirstTravel, "mm/min"), 1e-9)
	assert.InDelta(t, float64(p.Steady.FirstTravel/p.Steady.LastTravel)-1, float64(p.Steady.Rise), 1e-12)
	assert.InDelta(t, 0.0802, float64(p.Steady.Final), 2e-4, "two layers, and a third for a sliver is not counted")
	assert.Equal(t, 2, p.Steady.Layers)
	var layers []int
	for _, w := range p.Warnings {
		if w.Kind == "steady-rotation" {
			layers = append(layers, w.Layer)
		}
	}
	// The job contradicts itself by 3.7 %; layer 2 is too slow; its heat input is 0.64 kJ/mm.
	assert.Equal(t, []int{0, 2, 2}, layers)

	j.Rotation.Speed = 1e-5 // its bead would fill the bore
	assert.Contains(t, kinds(made(t, j, Options{})), "steady-rotation")
	j.Rotation.Speed = 0
	assert.Nil(t, made(t, j, Options{}).Steady)
}
