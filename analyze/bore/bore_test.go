package bore

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

func between(random *rand.Rand, low, high float64) float64 { return low + random.Float64()*(high-low) }

func TestRotationFor_InverseOfSurfaceSpeed(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	for range 1000 {
		d := quantity.Metres(between(random, 0.02, 0.5))
		n := quantity.TurnsPerSecond(between(random, 1e-3, 0.2))
		assert.InEpsilon(t, float64(n), float64(RotationFor(d, SurfaceSpeed(d, n))), 1e-14)
	}
}

func TestLayerThickness_ConservesVolume(t *testing.T) {
	random := rand.New(rand.NewPCG(2, 2))
	for range 1000 {
		d := between(random, 0.02, 0.5)
		p := between(random, 1e-3, 8e-3)
		a := between(random, 0.001, 0.999) * d * p / 4 // a bead up to all that fits
		thickness, err := LayerThickness(quantity.Metres(d), quantity.SquareMetres(a), quantity.Metres(p))
		require.NoError(t, err)
		inner := d - 2*float64(thickness)
		require.Positive(t, inner)
		laid := a * math.Pi * d
		ring := math.Pi / 4 * (d*d - inner*inner) * p
		assert.InEpsilon(t, laid, ring, 1e-12)
		assert.Greater(t, float64(thickness), a/p, "thicker than on a plate")
	}
}

func TestLayerThickness_FilledBore(t *testing.T) {
	for name, area := range map[string]quantity.SquareMetres{
		"just full": 0.02 * 0.004 / 4, "more": 1e-3, "torch at rest": quantity.SquareMetres(math.Inf(1)), "no number": quantity.SquareMetres(math.NaN()),
	} {
		_, err := LayerThickness(0.02, area, 0.004)
		var filled *FilledError
		require.ErrorAs(t, err, &filled, name)
	}
	_, err := LayerThickness(0.02, 25e-6, 0.004)
	assert.EqualError(t, err, "a bead of 25.00 mm2 at a pitch of 4.00 mm would fill the bore of 20.00 mm")
}

func demo() (Bore, Deposit, Rates) {
	return Bore{WornDiameter: 0.092, FinishDiameter: 0.090, WeldToDiameter: 0.086, Length: 0.060},
		Deposit{Pattern: Helix, Pitch: 0.003, WireDiameter: 0.9e-3, Efficiency: 0.95},
		Rates{WireSpeed: 5.5 / 60, Rotation: 1.25 / 60, Travel: 0.006}
}

// TestLayerDiameter_WireIsConserved fills the bore layer by layer at one rotation:
// the ring that is left has the volume of the wire that went in, whatever became
// of the travel meanwhile.
func TestLayerDiameter_WireIsConserved(t *testing.T) {
	b, d, r := demo()
	const layers = 4
	last, err := LayerDiameter(b, d, r, layers+1)
	require.NoError(t, err)
	ring := math.Pi / 4 * (math.Pow(float64(b.WornDiameter), 2) - math.Pow(float64(last), 2)) * float64(b.Length)
	seconds := TurnsPerLayer(b, d) / float64(r.Rotation) * layers
	wire := float64(WireArea(d.WireDiameter)) * float64(r.WireSpeed) * seconds * float64(d.Efficiency)
	assert.InEpsilon(t, wire, ring, 1e-12)
}

func TestLayerDiameter_FallsFasterAtOneRotationThanAtOneTravel(t *testing.T) {
	b, d, r := demo()
	r.Travel = r.TravelAt(b.WornDiameter)
	kept := Rates{WireSpeed: r.WireSpeed, Travel: r.Travel}
	for layer := 1; layer < 6; layer++ {
		rotating, err := LayerDiameter(b, d, r, layer)
		require.NoError(t, err)
		travelling, err := LayerDiameter(b, d, kept, layer)
		require.NoError(t, err)
		if layer <= 2 { // the first layer is laid on the same wall at the same travel
			assert.InEpsilon(t, float64(travelling), float64(rotating), 1e-12)
		} else {
			assert.Less(t, rotating, travelling)
		}
	}
}

func TestLayerDiameter_Errors(t *testing.T) {
	b, d, r := demo()
	first, err := LayerDiameter(b, Deposit{}, Rates{}, 1)
	require.NoError(t, err, "the first layer needs no rates")
	assert.Equal(t, b.WornDiameter, first)

	for name, spoil := range map[string]func(*Deposit, *Rates){
		"wire speed": func(_ *Deposit, r *Rates) { r.WireSpeed = 0 },
		"travel":     func(_ *Deposit, r *Rates) { r.Rotation, r.Travel = 0, 0 },
		"wire":       func(d *Deposit, _ *Rates) { d.WireDiameter = 0 },
		"pitch":      func(d *Deposit, _ *Rates) { d.Pitch = 0 },
		"efficiency": func(d *Deposit, _ *Rates) { d.Efficiency = 0 },
	} {
		spoilt, rates := d, r
		spoil(&spoilt, &rates)
		_, err := LayerDiameter(b, spoilt, rates, 2)
		assert.ErrorIs(t, err, ErrNotDeclared, name)
	}

	_, err = LayerDiameter(b, d, r, 100)
	var filled *FilledError
	require.ErrorAs(t, err, &filled)
	assert.ErrorContains(t, err, "layer ")
	assert.PanicsWithValue(t, "bore: layer 0; layers are counted from 1", func() { _, _ = LayerDiameter(b, d, r, 0) })
}

func TestTurnsAndRingsPerLayer(t *testing.T) {
	for _, c := range []struct {
		pattern Pattern
		length  quantity.Metres
		want    float64
	}{
		{Helix, 0.060, 20},
		{Helix, 0.0615, 20.5},
		{Rings, 0.060, 20}, // 60/3 in binary fractions is a hair over 20
		{Rings, 0.061, 21},
		{SegmentReversing, 0.0615, 21},
		{SegmentOneWay, 0.057, 19},
	} {
		b, d := Bore{Length: c.length}, Deposit{Pattern: c.pattern, Pitch: 0.003}
		assert.InDelta(t, c.want, TurnsPerLayer(b, d), 1e-9, "%s %v", c.pattern, c.length)
	}
}

func TestStraight_HasNoTurns(t *testing.T) {
	assert.PanicsWithValue(t, `bore: a bead laid as "straight" has no turns`, func() { PathPerTurn(Straight, 0.1, 0.003) })
	assert.PanicsWithValue(t, `bore: a bead laid as "straight" has no turns`, func() { TurnsPerLayer(Bore{}, Deposit{Pattern: Straight}) })
}

// More metal than wire, and stubs that are not what is left of it, cannot be; all of
// the wire laid is the most.
func TestWeighedEfficiency_Refused(t *testing.T) {
	for _, c := range []struct {
		deposit, wire, stub quantity.Kilograms
		want                string
	}{
		{4.2, 4, 0, "a deposit of 4.200 kg from 4.000 kg of wire used up is an efficiency above 100 %"},
		{3.0001, 4, 1, "a deposit of 3.0001 kg from 3.0000 kg of wire used up is an efficiency above 100 %"},
		{3, 4, 4, "stubs of 4.000 kg are not what is left of 4.000 kg of wire"},
		{3, 4, 5, "stubs of 5.000 kg are not what is left of 4.000 kg of wire"},
		{3, 4, -0.1, "stubs of -0.1000 kg are not what is left of 4.000 kg of wire"},
	} {
		_, err := WeighedEfficiency(c.deposit, c.wire, c.stub)
		var weighed *WeighedError
		require.ErrorAs(t, err, &weighed)
		assert.EqualError(t, err, c.want)
		assert.NotEmpty(t, weighed.Hint())
	}
	all, err := WeighedEfficiency(3, 4, 1)
	require.NoError(t, err)
	assert.Equal(t, quantity.Ratio(1), all)
	_, err = WeighedEfficiency(0, 4, 1)
	assert.Error(t, err)
	assert.InDelta(t, 1.8, quantity.In(WeighedRate(0.3, 600), "kg/h"), 1e-12)
}
