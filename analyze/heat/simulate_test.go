package heat

import (
	"math"
	"math/rand/v2"
	"slices"
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
		"calibrated": {plain(calibrated.Budget(Circumstances{Travel: TravelMeasured})), 0.01, 0.05},
		"stand-ins":  {plain(Doubt{}.Budget(Circumstances{Travel: TravelMeasured, Turning: true, BuiltUp: 0.1, Counted: 0.001})), 0.01, 0.12},
		// A rectangle as wide as that has all of itself within 1.73 u.
		"averaged power": {plain(Doubt{}.Budget(Circumstances{Travel: TravelDeclared, AveragedPower: true})), 0.01, 0.35},
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
}

// From one degree of freedom to a hundred the draws are of Student; beyond, and where
// they are not known, of the normal distribution.
func TestSimulate_degreesOfFreedom(t *testing.T) {
	with := func(freedom float64) Simulated {
		return Simulate(1, Budget{{Uncertainty: 0.001, Distribution: Normal, Freedom: freedom}}, 0.95, 100_000, 7)
	}
	normal := with(0)
	assert.InDelta(t, 1+0.00196, float64(normal.High), 0.00004)
	assert.Equal(t, normal, with(0.5))
	assert.InDelta(t, 1+0.0127, float64(with(1).High), 0.0006, "k = 12.706")
	assert.NotEqual(t, normal, with(100))
	assert.Equal(t, normal, with(101))
}

func TestSimulate_refuses(t *testing.T) {
	b := Budget{{Uncertainty: 0.01, Distribution: Normal}}
	require.Panics(t, func() { Simulate(1, b, 0.95, 999, 1) })
	require.NotPanics(t, func() { Simulate(1, b, 0.95, 1000, 1) })
	for _, share := range []float64{-0.1, 0, 1, 1.1} {
		require.Panics(t, func() { Simulate(1, b, share, 1000, 1) }, share)
	}
}

// The same thousand draws, summed up by the definitions: each draw one factor 1+x and
// one divisor 1+x; mean, standard deviation with n-1, and the 25th from either end.
func TestSimulate_isWhatItsDrawsAre(t *testing.T) {
	const n, q = 1000, 250e3
	b := Budget{{Uncertainty: 0.1, Distribution: Normal}, {Uncertainty: 0.05, Distribution: Rectangular, Divisor: true}}
	random := rand.New(rand.NewPCG(9, n))
	var drawn []float64
	sum := 0.0
	for range n {
		ratio := 1 + 0.1*random.NormFloat64()
		ratio /= 1 + 0.05*math.Sqrt(3)*(2*random.Float64()-1)
		drawn = append(drawn, ratio)
		sum += ratio
	}
	squares := 0.0
	for _, x := range drawn {
		squares += (x - sum/n) * (x - sum/n)
	}
	slices.Sort(drawn)
	s := Simulate(q, b, 0.95, n, 9)
	assert.InEpsilon(t, q*sum/n, float64(s.Mean), 1e-12)
	assert.InEpsilon(t, q*math.Sqrt(squares/(n-1)), float64(s.Standard), 1e-12)
	assert.Equal(t, q*drawn[25], float64(s.Low))
	assert.Equal(t, q*drawn[n-1-25], float64(s.High))
	assert.Equal(t, n, s.Draws)
}
