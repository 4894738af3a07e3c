package heat

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
)

// The linear formula against JCGM 101, for the budgets that occur.
func TestSimulate_checksTheLinearFormula(t *testing.T) {
	if testing.Short() {
		t.Skip("it simulates millions of passes")
	}
	const draws = 400_000
	calibrated := DoubtOf([]calib.Calibration{
		{Channel: "voltage", Relative: 0.01}, {Channel: "current", Relative: 0.02}, {Channel: "travel", Relative: 0.015},
	})
	for name, test := range map[string]struct {
		budget         Budget
		standard, ends float64 // agreement with u, as shares of u
	}{
		"calibrated": {calibrated.Budget(Circumstances{Travel: TravelMeasured}), 0.01, 0.05},
		"stand-ins":  {Doubt{}.Budget(Circumstances{Travel: TravelMeasured, Turning: true, BuiltUp: 0.1, Counts: 500}), 0.01, 0.12},
		// A rectangle as wide as that has all of itself within 1.73 u.
		"averaged power": {Doubt{}.Budget(Circumstances{Travel: TravelDeclared, AveragedPower: true}), 0.01, 0.35},
	} {
		t.Run(name, func(t *testing.T) {
			u := test.budget.Combined()
			s := Simulate(1, test.budget, math.Erf(math.Sqrt2), draws, 1)
			assert.InDelta(t, 1, float64(s.Mean), 0.01*u+u*u)
			assert.InDelta(t, u, float64(s.Standard), test.standard*u)
			assert.InDelta(t, 1-2*u, float64(s.Low), test.ends*u)
			assert.InDelta(t, 1+2*u, float64(s.High), test.ends*u)
			assert.Equal(t, s, Simulate(1, test.budget, math.Erf(math.Sqrt2), draws, 1), "the same seed, the same bits")
			assert.NotEqual(t, s.Mean, Simulate(1, test.budget, math.Erf(math.Sqrt2), draws, 2).Mean)
		})
	}
}

// A rectangle alone keeps its limits, which the linear formula cannot know; and
// few degrees of freedom widen the interval to that of Student.
func TestSimulate_keepsTheShapes(t *testing.T) {
	s := Simulate(10, Budget{{Uncertainty: rectangular(0.3), Distribution: Rectangular}}, 0.95, 200_000, 7)
	assert.InDelta(t, 10*(1-0.95*0.3), float64(s.Low), 0.01)
	assert.InDelta(t, 10*(1+0.95*0.3), float64(s.High), 0.01)
	few := Budget{{Uncertainty: 0.01, Distribution: Normal, Freedom: 5}}
	s = Simulate(1, few, 0.95, 400_000, 7)
	assert.InDelta(t, 0.01*Coverage(0.95, few.Freedom()), float64(s.High-1), 0.0004)
	divided := Simulate(1, Budget{{Uncertainty: 0.01, Distribution: Normal, Divisor: true}}, 0.95, 200_000, 7)
	multiplied := Simulate(1, Budget{{Uncertainty: 0.01, Distribution: Normal}}, 0.95, 200_000, 7)
	assert.InDelta(t, 1/float64(multiplied.High), float64(divided.Low), 1e-12)
	require.Panics(t, func() { Simulate(1, few, 0.95, 10, 1) })
	require.Panics(t, func() { Simulate(1, few, 1, 10000, 1) })
}
