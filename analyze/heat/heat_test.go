package heat

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
)

// component returns the only component of a name.
func component(t *testing.T, b Budget, name string) Component {
	t.Helper()
	var found []Component
	for _, c := range b {
		if c.Name == name {
			found = append(found, c)
		}
	}
	require.Len(t, found, 1, "%s in %v", name, b)
	return found[0]
}

func TestDoubt_standInsAreLimitsOfRectangles(t *testing.T) {
	b := Doubt{}.Budget(Circumstances{Travel: TravelMeasured})
	require.InDelta(t, math.Sqrt((0.0004+0.0009+0.0001)/3), b.Combined(), 1e-15)
	declared := Doubt{}.Budget(Circumstances{Travel: TravelDeclared})
	require.InDelta(t, math.Sqrt((0.0004+0.0009+0.0025)/3), declared.Combined(), 1e-15)
	averaged := Doubt{}.Budget(Circumstances{AveragedPower: true})
	require.InDelta(t, 0.3/math.Sqrt(3), component(t, averaged, AveragedPower).Uncertainty, 1e-15)
	for _, c := range b {
		assert.NotEmpty(t, c.Source, c.Name)
		assert.Equal(t, c.Name == Travel, c.Divisor, c.Name)
		assert.Equal(t, c.Name != Efficiency, c.Basis == StandIn, c.Name)
	}
}

// A calibration takes the place of its stand-in, with all it says of itself.
func TestDoubt_calibrations(t *testing.T) {
	b := DoubtOf([]calib.Calibration{
		{Channel: "voltage", Gain: 1, Relative: 0.01, Freedom: 9, Date: "2026-01-12", Due: "2027-01-12", Certificate: "C-1"},
		{Channel: "gas_flow", Relative: 0.5},
		{Channel: "travel", Relative: 0.002},
	}).Budget(Circumstances{Travel: TravelMeasured})
	assert.Equal(t, Component{
		Name: Voltage, Uncertainty: 0.01, Distribution: Normal, Freedom: 9, Basis: Measured,
		Source: "certificate C-1 of 2026-01-12", Done: "2026-01-12", Due: "2027-01-12",
	}, component(t, b, Voltage))
	assert.Equal(t, "calibration on record", component(t, b, Travel).Source)
	assert.Equal(t, StandIn, component(t, b, Current).Basis)
	assert.Len(t, b, 4, "voltage, current, travel and k")
}

// What a pass adds of its own: steps, drift, counts, layers, rhythm and gaps.
func TestDoubt_componentsOfAPass(t *testing.T) {
	d := DoubtOf([]calib.Calibration{
		{Channel: "voltage", Gain: 1, Relative: 0.01},
		{Channel: "voltage", Gain: 1.02, Offset: -0.2, Relative: 0.01},
		{Channel: "travel", Gain: 1, Relative: 0.004},
		{Channel: "travel", Gain: 0.99, Relative: 0.004},
	})
	c := Circumstances{
		Travel: TravelMeasured, Turning: true, Counts: 200, BuiltUp: 0.1, Missing: 0.03,
		Voltage: 20, VoltageScale: 0.1, Current: 150, CurrentScale: 1,
	}
	b := d.Budget(c)
	for name, want := range map[string]float64{
		VoltageResolution: 0.102 / 20 / math.Sqrt(12), // the step is corrected too
		CurrentResolution: 1.0 / 150 / math.Sqrt(12),
		VoltageDrift:      math.Abs((20+0.2)/1.02-20) / 20 / math.Sqrt(3),
		TravelDrift:       0.01 / 0.99 / math.Sqrt(3),
		TurnResolution:    0.005 / math.Sqrt(3),
		LayerThickness:    0.01 / math.Sqrt(3),
		MissingData:       0.03 / math.Sqrt(3),
		Efficiency:        0,
	} {
		assert.InDelta(t, want, component(t, b, name).Uncertainty, 1e-12, name)
	}
	assert.Less(t, b.Without(MissingData).Combined(), b.Combined())
	c.Travel = TravelDerived
	assert.InDelta(t, 0.01/math.Sqrt(3), component(t, d.Budget(c), Rhythm).Uncertainty, 1e-15)
	c.Rhythm = 0.003
	assert.Equal(t, Measured, component(t, d.Budget(c), Rhythm).Basis)
	c.Turning = false
	for _, k := range d.Budget(c) {
		assert.NotEqual(t, LayerThickness, k.Name, "a plate has no layers to close a bore")
	}
}

// The same calibration twice is no drift.
func TestDoubt_noDriftOfTheSame(t *testing.T) {
	c := calib.Calibration{Channel: "current", Gain: 1.1, Relative: 0.01, Date: "2026-01-12"}
	for _, k := range DoubtOf([]calib.Calibration{c, c}).Budget(Circumstances{Current: 150}) {
		assert.NotEqual(t, CurrentDrift, k.Name)
	}
}

func TestBudget_contributions(t *testing.T) {
	b := Budget{{Name: "a", Uncertainty: 3}, {Name: "b", Uncertainty: 4}, {Name: "c"}}
	assert.InDelta(t, 0.36, b.Contribution(0), 1e-15)
	assert.InDelta(t, 0.64, b.Contribution(1), 1e-15)
	assert.Zero(t, b.Contribution(2))
	c, share := b.Greatest()
	assert.Equal(t, "b", c.Name)
	assert.InDelta(t, 0.64, share, 1e-15)
	c, share = Budget{{Name: "c"}}.Greatest()
	assert.Empty(t, c.Name)
	assert.Zero(t, share)
	assert.True(t, math.IsInf(b.Freedom(), 1), "none is known")
	assert.InDelta(t, 2, Coverage(math.Erf(math.Sqrt2), math.Inf(1)), 1e-12)
}

// Property: the expanded uncertainty follows the heat input in proportion, and
// nothing that is not known makes it smaller.
func TestBudget_expandedScalesWithTheHeatInput(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		b := randomBudget(random)
		q := quantity.JoulesPerMetre(random.Float64() * 1e6)
		factor := quantity.JoulesPerMetre(random.Float64() * 10)
		require.InEpsilon(t, float64(factor*b.Expanded(q)), float64(b.Expanded(factor*q)), 1e-12)
		require.InEpsilon(t, float64(b.Expanded(q)), float64(b.Expanded(-q)), 1e-12)
		more := append(b.Without(""), Component{Uncertainty: random.Float64()})
		require.GreaterOrEqual(t, more.Combined(), b.Combined())
		sum := 0.0
		for k := range b {
			sum += b.Contribution(k)
		}
		require.InDelta(t, 1, sum, 1e-12)
		require.GreaterOrEqual(t, b.Freedom(), leastFreedom(b)*(1-1e-12), "no fewer than the poorest component has")
	}
}

func randomBudget(random *rand.Rand) Budget {
	b := make(Budget, 1+random.IntN(8))
	for k := range b {
		b[k] = Component{Name: "x", Uncertainty: 0.001 + random.Float64()*0.1, Distribution: Normal, Freedom: float64(random.IntN(30))}
	}
	return b
}

func leastFreedom(b Budget) float64 {
	least := math.Inf(1)
	for _, c := range b {
		if c.Freedom > 0 {
			least = min(least, c.Freedom)
		}
	}
	return least
}
