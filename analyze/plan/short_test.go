package plan

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/procedure"
)

// shortBy is the job of the other tests, to be welded so much further on a side than
// its layers reach.
func shortBy(t *testing.T, missing quantity.Metres) *procedure.Job {
	t.Helper()
	j := job(t)
	j.Rotation.Speed = 0
	j.Bore.WeldToDiameter = made(t, j, Options{}).Final - 2*missing
	return j
}

func warning(p *Plan, kind string) string {
	for _, w := range p.Warnings {
		if w.Kind == kind {
			return w.Text
		}
	}
	return ""
}

// No whole layer for 8 um: two ways close it with the three that there are, and the
// fourth would be a whole one.
func TestMake_NoLayerForASliver(t *testing.T) {
	p := made(t, shortBy(t, 8e-6), Options{})
	require.Len(t, p.Layers, 3)
	require.NotNil(t, p.Short)
	assert.InDelta(t, 8e-6, float64(p.Short.Missing), 1e-12)
	fourth, err := bore.LayerThickness(p.Final, p.Layers[0].BeadArea, 0.003)
	require.NoError(t, err)
	assert.InDelta(t, float64(fourth), float64(p.Short.Another), 1e-12)
	require.Len(t, p.Short.Ways, 2)
	pitch, travel := p.Short.Ways[0], p.Short.Ways[1]
	// Three layers of 2.78 mm are 8.33 mm; 8 um more are 0.1 % of it, so that the pitch
	// goes from 3.00 to 2.99 mm, and the travel from 300 to 299 mm/min.
	assert.InDelta(t, 0.00299, float64(pitch.Pitch), 1e-12)
	assert.InDelta(t, 60/2.99, pitch.Turns, 1e-9)
	assert.InDelta(t, 0.576e6, float64(*pitch.HeatInput), 1e-3, "the pitch leaves it as it is")
	assert.InDelta(t, 299, quantity.In(travel.Travel, "mm/min"), 1e-9)
	assert.InDelta(t, 0.576e6*300/299, float64(*travel.HeatInput), 1e-3)
	text := warning(p, "short")
	for _, words := range []string{
		"with 3 layers the bore is at 75.35 mm, and 0.008 mm on a side are missing to 75.33 mm",
		"a whole layer more would be 2.79 mm thick, and none is planned for that",
		"a pitch of 2.99 mm, 20.07 turns a layer, reaches 75.29 mm with 3 layers, at 0.576 kJ/mm",
		"a travel of 299 mm/min reaches 75.29 mm with 3 layers, at 0.578 kJ/mm",
		"or leave it as it is",
	} {
		assert.Contains(t, text, words)
	}
}

// What is proposed is laid by the plan itself: it reaches, keeps to the windows, and
// is the least change that a person can set.
func TestMake_WaysReach(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 9))
	between := func(low, high float64) float64 { return low + random.Float64()*(high-low) }
	tried := 0
	for range 300 {
		j := job(t)
		j.Deposit.Pattern = []bore.Pattern{bore.Helix, bore.Rings, bore.SegmentReversing}[random.IntN(3)]
		j.Bore.WornDiameter, j.Bore.FinishDiameter = quantity.Metres(between(0.06, 0.3)), 0
		j.Bore.WeldToDiameter = j.Bore.WornDiameter - quantity.Metres(between(0.006, 0.02))
		if random.IntN(3) == 0 {
			j.Setpoints.TravelSpeed, j.Procedure.Limits.TravelSpeed = 0, quantity.Range[quantity.MetresPerSecond]{}
			j.Rotation.Speed = bore.RotationFor(j.Bore.WornDiameter, 0.005)
		}
		first := made(t, j, Options{})
		j.Bore.WeldToDiameter = first.Final - quantity.Metres(between(1e-6, 0.199))*first.Layers[0].Thickness
		p := made(t, j, Options{})
		if p.Short == nil {
			continue
		}
		tried++
		require.Len(t, p.Layers, len(first.Layers))
		for _, way := range p.Short.Ways {
			changed := *j
			switch {
			case way.Pitch > 0:
				changed.Deposit.Pitch = way.Pitch
				assert.InDelta(t, math.Round(float64(way.Pitch)*1e5), float64(way.Pitch)*1e5, 1e-6, "in hundredths of a mm")
			case way.Travel > 0:
				changed.Setpoints.TravelSpeed = way.Travel
				assert.InDelta(t, math.Round(float64(way.Travel)*60e3), float64(way.Travel)*60e3, 1e-6)
			default:
				require.Positive(t, way.Rotation)
				changed.Rotation.Speed = way.Rotation
			}
			again := made(t, &changed, Options{})
			assert.Nil(t, again.Short)
			assert.Len(t, again.Layers, len(p.Layers))
			assert.InDelta(t, float64(again.Final), float64(way.Final), 1e-12)
			for _, l := range again.Layers {
				assert.GreaterOrEqual(t, *way.HeatInput, *l.HeatInput*(1-1e-12), "the highest is told")
			}
			assert.LessOrEqual(t, again.Final, j.Bore.WeldToDiameter+reached)
			assert.NotContains(t, kinds(again), "heat-input")
			assert.NotContains(t, kinds(again), "travel")
		}
	}
	assert.Greater(t, tried, 100)
}

// A step less would not do, so no more metal is laid than the bore asks for.
func TestMake_WaysAreTheLeastChange(t *testing.T) {
	j := shortBy(t, 100e-6)
	p := made(t, j, Options{})
	require.Len(t, p.Short.Ways, 2)
	less := *j
	less.Deposit.Pitch = p.Short.Ways[0].Pitch + pitchStep
	assert.NotNil(t, made(t, &less, Options{}).Short)
	less = *j
	less.Setpoints.TravelSpeed = p.Short.Ways[1].Travel + travelStep
	assert.NotNil(t, made(t, &less, Options{}).Short)
}

// A way that leaves a window is no way; where none is left, that is said.
func TestMake_WaysKeepToTheWindows(t *testing.T) {
	slow := shortBy(t, 8e-6)
	slow.Procedure.Limits.TravelSpeed.Low = 0.005
	p := made(t, slow, Options{})
	require.Len(t, p.Short.Ways, 1)
	assert.Positive(t, p.Short.Ways[0].Pitch)

	hot := shortBy(t, 8e-6)
	hot.Procedure.Limits.HeatInput.High = 0.577e6
	require.Len(t, made(t, hot, Options{}).Short.Ways, 1)
	hot.Procedure.Limits.HeatInput.High = 0.5e6
	p = made(t, hot, Options{})
	assert.Empty(t, p.Short.Ways)
	assert.Contains(t, warning(p, "short"), "no pitch and no travel inside the procedure's windows closes it with 3 layers")
}

// A tenth of a layer is where a whole one is worth it; and what is the first layer of
// all is always laid, for no other can be made thicker.
func TestMake_ATenthOfALayer(t *testing.T) {
	another := made(t, shortBy(t, 8e-6), Options{}).Short.Another
	p := made(t, shortBy(t, another/10-1e-7), Options{})
	assert.Len(t, p.Layers, 3)
	require.NotNil(t, p.Short)
	assert.Len(t, p.Short.Ways, 2, "even then")
	p = made(t, shortBy(t, another/10+1e-7), Options{})
	assert.Len(t, p.Layers, 4)
	assert.Nil(t, p.Short)

	only := job(t)
	only.Bore.WeldToDiameter = only.Bore.WornDiameter - 16e-6
	p = made(t, only, Options{})
	assert.Len(t, p.Layers, 1)
	assert.Nil(t, p.Short)
}

// One layer is one layer.
func TestMake_ShortOfOneLayer(t *testing.T) {
	j := job(t)
	j.Bore.WeldToDiameter = made(t, j, Options{}).Layers[0].After - 16e-6
	text := warning(made(t, j, Options{}), "short")
	assert.True(t, strings.HasPrefix(text, "with 1 layer the bore is at"), text)
}

// By hand: four layers of 22.5 mm2 at 3 mm on 100 mm have 4*A/(p*D) of 0.300, 0.359, 0.448
// and 0.602, and a fifth would fit into the 31.4 mm that they leave. A fifth less of pitch
// fills the bore on the way, which is more than enough and does not hide the ways.
func TestMake_WaysWhereLessFillsTheBore(t *testing.T) {
	j := job(t)
	j.Procedure.Limits, j.Rotation.Speed = procedure.Limits{}, 0
	j.Bore.WornDiameter, j.Bore.WeldToDiameter, j.Bore.FinishDiameter = 0.1, 0.0310, 0
	j.Setpoints.WireSpeed = j.Setpoints.TravelSpeed * quantity.MetresPerSecond(22.5e-6/0.95/float64(bore.WireArea(0.0009)))
	p := made(t, j, Options{})
	require.Len(t, p.Layers, 4)
	require.NotNil(t, p.Short)
	require.Len(t, p.Short.Ways, 2)
	assert.Greater(t, p.Short.Ways[0].Pitch, quantity.Metres(0.0029))
	j.Deposit.Pitch *= leastShare
	_, err := Make(j, Options{})
	var filled *bore.FilledError
	require.ErrorAs(t, err, &filled)
}
