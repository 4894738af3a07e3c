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

// plain is a budget without what the way from the arc to the samples adds, which has
// tests of its own.
func plain(b Budget) Budget {
	for _, name := range []string{Skew, Filters, Leads, Clock} {
		b = b.Without(name)
	}
	return b
}

func TestDoubt_standInsAreLimitsOfRectangles(t *testing.T) {
	b := plain(Doubt{}.Budget(Circumstances{Travel: TravelMeasured}))
	require.InDelta(t, math.Sqrt((0.0004+0.0009+0.0001)/3), b.Combined(), 1e-15)
	declared := plain(Doubt{}.Budget(Circumstances{Travel: TravelDeclared}))
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
	b := plain(DoubtOf([]calib.Calibration{
		{Channel: "voltage", Gain: 1, Relative: 0.01, Freedom: 9, Date: "2026-01-12", Due: "2027-01-12", Certificate: "C-1"},
		{Channel: "gas_flow", Relative: 0.5},
		{Channel: "travel", Relative: 0.002},
	}).Budget(Circumstances{Travel: TravelMeasured}))
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
		Travel: TravelMeasured, Turning: true, Counted: 0.002, BuiltUp: 0.1, Missing: 0.03,
		Voltage: 20, VoltageScale: 0.1, Current: 150, CurrentScale: 1,
	}
	b := d.Budget(c)
	for name, want := range map[string]float64{
		VoltageResolution: 0.102 / 20 / math.Sqrt(12), // the step is corrected too
		CurrentResolution: 1.0 / 150 / math.Sqrt(12),
		VoltageDrift:      math.Abs((20+0.2)/1.02-20) / 20 / math.Sqrt(3),
		TravelDrift:       0.01 / 0.99 / math.Sqrt(3),
		TurnResolution:    0.002,
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

// The drift term by hand: the mean is 20.2 V, so the reading was (20.2 - 0.2)/0.8 = 25,
// of which the line before made 25*0.83 - 0.5 = 20.25: a change of 0.05 V. And the other
// way round, from 20.25 V: (20.25 + 0.5)/0.83 = 25, and 25*0.8 + 0.2 = 20.2.
func TestDoubt_driftOfGainAndOffset(t *testing.T) {
	older, newer := calib.Calibration{Channel: "voltage", Gain: 0.83, Offset: -0.5}, calib.Calibration{Channel: "voltage", Gain: 0.8, Offset: 0.2}
	for _, c := range []struct {
		line []calib.Calibration
		mean float64
	}{{[]calib.Calibration{older, newer}, 20.2}, {[]calib.Calibration{newer, older}, 20.25}} {
		b := DoubtOf(c.line).Budget(Circumstances{Voltage: c.mean})
		assert.InDelta(t, 0.05/c.mean/math.Sqrt(3), component(t, b, VoltageDrift).Uncertainty, 1e-15)
		assert.Equal(t, Component{
			Name: VoltageDrift, Uncertainty: component(t, b, VoltageDrift).Uncertainty, Distribution: Rectangular, Basis: Measured, Source: betweenTwo,
		}, component(t, b, VoltageDrift))
	}
	for _, c := range [][]calib.Calibration{
		{older, {Channel: "voltage", Offset: 0.2}},
		{{Channel: "voltage", Offset: 0.2}, newer},
	} {
		for _, k := range DoubtOf(c).Budget(Circumstances{Voltage: 20}) {
			assert.NotEqual(t, VoltageDrift, k.Name, "a line without a gain is none")
		}
	}
	for _, k := range DoubtOf([]calib.Calibration{older, newer}).Budget(Circumstances{}) {
		assert.NotEqual(t, VoltageDrift, k.Name, "nothing is known of the mean")
	}
	negative := DoubtOf([]calib.Calibration{older, newer}).Budget(Circumstances{Voltage: -20})
	assert.InDelta(t, math.Abs((-20-0.2)/0.8*0.83-0.5+20)/20/math.Sqrt(3), component(t, negative, VoltageDrift).Uncertainty, 1e-15)
}

// Where a figure comes from is written beside it, with the figure that stands in.
func TestDoubt_sources(t *testing.T) {
	b := Doubt{}.Budget(Circumstances{Travel: TravelDeclared, Turning: true, BuiltUp: 0.1, AveragedPower: true, Missing: 0.1})
	for name, want := range map[string]string{
		Voltage: "±2 %: " + fieldMeter, Current: "±3 %: " + fieldMeter, Travel: "±5 %: travel as declared; " + customary,
		LayerThickness: "±1 %: 10 % of the metal under the layer; " + depositRange, AveragedPower: "±30 %: " + averagedArcs,
		MissingData: arcInGap, Efficiency: byDefinition,
	} {
		assert.Equal(t, want, component(t, b, name).Source, name)
	}
	assert.Equal(t, "±1 %: diameter of the bore as declared; "+customary, component(t, Doubt{}.Budget(Circumstances{Travel: TravelDerived}), Travel).Source)
	assert.True(t, component(t, b, LayerThickness).Divisor)
}

// Nothing that is zero makes a component of its own.
func TestDoubt_zeroIsNotKnown(t *testing.T) {
	names := func(c Circumstances) (all []string) {
		for _, k := range plain(Doubt{}.Budget(c)) {
			all = append(all, k.Name)
		}
		return all
	}
	usual := []string{Voltage, Current, Travel, Efficiency}
	assert.Equal(t, usual, names(Circumstances{Travel: TravelMeasured, Turning: true, VoltageScale: 0.1, CurrentScale: 1}))
	assert.Equal(t, usual, names(Circumstances{Travel: TravelMeasured, Voltage: 20, Current: 150, BuiltUp: 0.1}))
	assert.Equal(t, []string{Voltage, Current, Travel, Rhythm, Efficiency}, names(Circumstances{Travel: TravelDerived, Counted: 0.01}))
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
