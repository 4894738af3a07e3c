package thermal

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

func between(random *rand.Rand, low, high float64) float64 { return low + random.Float64()*(high-low) }

func randomWeld(random *rand.Rand) Weld {
	return Weld{
		Wall:      quantity.Celsius(between(random, -20, 450)),
		HeatInput: quantity.JoulesPerMetre(between(random, 0.2e6, 4e6)),
		Thickness: quantity.Metres(between(random, 0.003, 0.2)),
		Shape:     Shape{quantity.Ratio(between(random, 0.45, 1)), quantity.Ratio(between(random, 0.6, 1))},
	}
}

func cooling(t *testing.T, w Weld) Cooling {
	t.Helper()
	c, err := CoolingTime(w)
	require.NoError(t, err)
	return c
}

// TestCoolingTime_Laws holds the formulas to what they say of heat and thickness.
func TestCoolingTime_Laws(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	for range 1000 {
		w := randomWeld(random)
		c := cooling(t, w)

		hotter, factor := w, between(random, 0.3, 3)
		hotter.HeatInput *= quantity.JoulesPerMetre(factor)
		assert.InEpsilon(t, factor*float64(c.Thick), float64(cooling(t, hotter).Thick), 1e-12, "t3 is linear in Q")
		assert.InEpsilon(t, factor*factor*float64(c.Thin), float64(cooling(t, hotter).Thin), 1e-12, "t2 goes with Q^2")

		thicker := w
		thicker.Thickness *= quantity.Metres(factor)
		assert.Equal(t, c.Thick, cooling(t, thicker).Thick, "t3 knows no thickness")
		assert.InEpsilon(t, float64(c.Thin)/factor/factor, float64(cooling(t, thicker).Thin), 1e-12, "t2 goes with 1/d^2")

		assert.Equal(t, c.Transition, cooling(t, thicker).Transition)
		assert.Equal(t, max(c.Thin, c.Thick), c.Time, "the longer of the two times is the one that rules")
	}
}

// TestCoolingTime_MeetAtTheTransition shows for any shape factors that the time does not jump there.
func TestCoolingTime_MeetAtTheTransition(t *testing.T) {
	random := rand.New(rand.NewPCG(2, 2))
	for range 1000 {
		w := randomWeld(random)
		w.Thickness = cooling(t, w).Transition
		at := cooling(t, w)
		assert.InEpsilon(t, float64(at.Thick), float64(at.Thin), 1e-9)
		w.Thickness *= 1 - 1e-9
		assert.Equal(t, TwoD, cooling(t, w).Regime)
		w.Thickness *= 1 + 3e-9
		assert.Equal(t, ThreeD, cooling(t, w).Regime)
	}
}

// TestCoolingTime_ShapeFactorsMoveTheTransition shows both: by the published
// thickness, which has no factors, a T-joint of 13 mm would cool in two
// dimensions; with its factors t3 is the longer time already.
func TestCoolingTime_ShapeFactorsMoveTheTransition(t *testing.T) {
	w := Weld{Wall: 20, HeatInput: 1e6, Thickness: 0.013, Shape: RunOnPlate}
	plate := cooling(t, w)
	assert.Equal(t, TwoD, plate.Regime)
	assert.InDelta(t, 14.6586, quantity.In(plate.Transition, "mm"), 5e-5)

	w.Shape = Shape{F2: 0.45, F3: 0.67}
	joint := cooling(t, w)
	assert.Equal(t, ThreeD, joint.Regime)
	assert.InDelta(t, 14.6586*math.Sqrt(0.45/0.67), quantity.In(joint.Transition, "mm"), 5e-5)
	assert.Greater(t, joint.Thick, joint.Thin)
}

func TestCoolingTime_Refused(t *testing.T) {
	fine := Weld{Wall: 20, HeatInput: 1e6, Thickness: 0.02, Shape: RunOnPlate}
	nan := math.NaN()
	for text, spoil := range map[string]func(*Weld){
		"wall temperature 500 degC is out of range: cooling time t8/5 by EN 1011-2 holds for wall temperature below 500 degC": func(w *Weld) { w.Wall = 500 },
		"wall temperature -274 degC is out of range":   func(w *Weld) { w.Wall = -274 },
		"wall temperature NaN degC is out of range":    func(w *Weld) { w.Wall = quantity.Celsius(nan) },
		"heat input 0 kJ/mm is out of range":           func(w *Weld) { w.HeatInput = 0 },
		"thickness -1 mm is out of range":              func(w *Weld) { w.Thickness = -0.001 },
		"thickness +Inf mm is out of range":            func(w *Weld) { w.Thickness = quantity.Metres(math.Inf(1)) },
		"shape factor F2 0 is out of range":            func(w *Weld) { w.Shape.F2 = 0 },
		"shape factor F3 1.1 is out of range":          func(w *Weld) { w.Shape.F3 = 1.1 },
		"holds for shape factor F3 above 0, at most 1": func(w *Weld) { w.Shape.F3 = quantity.Ratio(nan) },
	} {
		w := fine
		spoil(&w)
		_, err := CoolingTime(w)
		var out *RangeError
		require.ErrorAs(t, err, &out, text)
		assert.ErrorContains(t, err, text)
	}
}

func TestPreheat_Range(t *testing.T) {
	inside := Steel{CET: 0.35, Thickness: 0.03, Hydrogen: 5, HeatInput: 1e6}
	for name, edges := range map[string][2]func(*Steel){
		"CET 0.19 is out of range: preheat by EN 1011-2 method B holds for CET 0.2 to 0.5": {func(s *Steel) { s.CET = 0.2 }, func(s *Steel) { s.CET = 0.19 }},
		"CET 0.51": {func(s *Steel) { s.CET = 0.5 }, func(s *Steel) { s.CET = 0.51 }},
		"thickness 9.9 mm is out of range: preheat by EN 1011-2 method B holds for thickness 10 to 90 mm": {func(s *Steel) { s.Thickness = 0.010 }, func(s *Steel) { s.Thickness = 0.0099 }},
		"thickness 91 mm":     {func(s *Steel) { s.Thickness = 0.090 }, func(s *Steel) { s.Thickness = 0.091 }},
		"hydrogen 0.9 ml":     {func(s *Steel) { s.Hydrogen = 1 }, func(s *Steel) { s.Hydrogen = 0.9 }},
		"1 to 20 ml/100g":     {func(s *Steel) { s.Hydrogen = 20 }, func(s *Steel) { s.Hydrogen = 21 }},
		"heat input 0.49":     {func(s *Steel) { s.HeatInput = 0.5e6 * (1 - 1e-12) }, func(s *Steel) { s.HeatInput = 0.49e6 }},
		"0.5 to 4 kJ/mm":      {func(s *Steel) { s.HeatInput = 4e6 }, func(s *Steel) { s.HeatInput = 4.01e6 }},
		"heat input NaN":      {func(*Steel) {}, func(s *Steel) { s.HeatInput = quantity.JoulesPerMetre(math.NaN()) }},
		"thickness +Inf mm i": {func(*Steel) {}, func(s *Steel) { s.Thickness = quantity.Metres(math.Inf(1)) }},
	} {
		on, off := inside, inside
		edges[0](&on)
		edges[1](&off)
		_, err := Preheat(on)
		require.NoError(t, err, name)
		_, err = Preheat(off)
		var out *RangeError
		require.ErrorAs(t, err, &out, name)
		assert.ErrorContains(t, err, name)
	}
}

func TestSteel_AtLeastHeat(t *testing.T) {
	assert.Equal(t, quantity.JoulesPerMetre(0.5e6), Steel{HeatInput: 0.3e6}.AtLeastHeat().HeatInput)
	assert.Equal(t, quantity.JoulesPerMetre(0.7e6), Steel{HeatInput: 0.7e6}.AtLeastHeat().HeatInput)
}

func TestEquivalents_Refused(t *testing.T) {
	for text, steel := range map[string]Analysis{
		"C -0.1 % is out of range":                  {"C": -0.1},
		"Mn 101 % is out of range":                  {"Mn": 101},
		"Si NaN % is out of range":                  {"Si": math.NaN()},
		"sum of all elements 120 % is out of range": {"Ni": 60, "Cr": 60},
		"carbon equivalent holds for C 0 to 100 %":  {"C": 1000},
	} {
		_, err := steel.Equivalents()
		var out *RangeError
		require.ErrorAs(t, err, &out, text)
		assert.ErrorContains(t, err, text)
	}
}

// A point that slipped is asked about; a figure that no point explains is refused alone.
func TestEquivalents_TypedWrong(t *testing.T) {
	for want, steel := range map[string]Analysis{
		"C 1.8 % is no weldable steel, which has at most 0.6 %: is it 0.18 %?":    {"C": 1.8, "Mn": 1.4},
		"Mn 14 % is no weldable steel, which has at most 4 %: is it 1.4 %?":       {"C": 0.18, "Mn": 14},
		"C 18 % is no weldable steel, which has at most 0.6 %":                    {"C": 18},
		"B 0.07 % is no weldable steel, which has at most 0.05 %: is it 0.007 %?": {"C": 0.1, "B": 0.07},
		"C 1.1 % is no weldable steel, which has at most 0.6 %: is it 0.11 %?":    {"C": 1.1},
	} {
		_, err := steel.Equivalents()
		var typed *TypedError
		require.ErrorAs(t, err, &typed)
		assert.EqualError(t, err, want)
		assert.Equal(t, "look it up on the mill sheet, in mass %", typed.Hint())
	}
	for element, most := range mostOf {
		_, err := Analysis{element: most}.Equivalents()
		assert.NoError(t, err, "as much as may be")
		_, err = Analysis{element: most * 1.001}.Equivalents()
		assert.Error(t, err)
	}
	for _, steel := range []Analysis{{"C": 0.45, "Mn": 0.7}, {"C": 0.42, "Cr": 1.05, "Mo": 0.22}, {"C": 0.04, "Cr": 18, "Ni": 10}} {
		_, err := steel.Equivalents()
		assert.NoError(t, err, "steels that there are")
	}
}

// The value in a refusal is not printed like the limit that it passed.
func TestRangeError_IsNoContradiction(t *testing.T) {
	steel := Steel{CET: 0.35, Thickness: 0.03, Hydrogen: 5, HeatInput: 0.326667e6}
	_, err := Preheat(steel)
	assert.EqualError(t, err, "heat input 0.327 kJ/mm is out of range: preheat by EN 1011-2 method B holds for heat input 0.5 to 4 kJ/mm")
	steel.HeatInput = 0.49996e6
	_, err = Preheat(steel)
	assert.ErrorContains(t, err, "heat input 0.49996 kJ/mm is out of range")
	steel.HeatInput, steel.CET = 1e6, 0.5000001
	_, err = Preheat(steel)
	assert.ErrorContains(t, err, "CET 0.5000001 is out of range")
}

// The ends of the usual range are inside it.
func TestPractice(t *testing.T) {
	for seconds, words := range map[quantity.Seconds][2]string{
		1.74: {"takes 1.7 s from 800 to 500 degC, less than 10.0 s", ""}, 9.97: {"takes 9.97 s from 800 to 500 degC, less than 10.00 s", ""}, 10: {}, 25: {},
		25.01: {"", "takes 25.01 s from 800 to 500 degC, more than 25.00 s"}, 59: {"", "takes 59.0 s"}, 60: {"", "takes 1.0 min"}, 1e9: {"", "takes 11574 days"},
	} {
		fast, slow := TooFast(seconds, 120), TooSlow(seconds, 120)
		for k, text := range []string{fast, slow} {
			if words[k] == "" {
				assert.Empty(t, text, "%g s", float64(seconds))
				continue
			}
			assert.Contains(t, text, "from a wall at 120 degC the weld "+words[k])
			assert.Contains(t, text, "(memory); the maker of the steel rules")
		}
	}
}

func TestOutsideCET(t *testing.T) {
	assert.Empty(t, Analysis{"C": 0.18, "Mn": 1.4, "Si": 0.35}.OutsideCET())
	assert.Equal(t, []string{"C 0.42 % (0.05 to 0.32 %)", "B 0.006 % (0 to 0.005 %)"},
		Analysis{"C": 0.42, "Mn": 0.75, "B": 0.006}.OutsideCET())
	assert.Equal(t, []string{"Mn 0 % (0.5 to 1.9 %)"}, Analysis{"C": 0.1}.OutsideCET(), "what is not listed is zero")
}

func TestHydrogenControlIndex_Refused(t *testing.T) {
	_, err := HydrogenControlIndex(0.28, 0)
	var out *RangeError
	require.ErrorAs(t, err, &out)
	assert.Equal(t, "hydrogen", out.Quantity)
}

// A limit belongs to its range, and binary fractions may miss it by a billionth.
func TestRanges_ToTheLimit(t *testing.T) {
	steel := Steel{CET: 0.35, Thickness: 0.03, Hydrogen: 5}
	for share, want := range map[float64]bool{0.5e6: true, 0.5e6 * (1 - 0.9e-9): true, 0.5e6 * (1 - 1.1e-9): false, 4e6: true, 4e6 * (1 + 0.9e-9): true, 4e6 * (1 + 1.1e-9): false} {
		steel.HeatInput = quantity.JoulesPerMetre(share)
		_, err := Preheat(steel)
		assert.Equal(t, want, err == nil, "%v", share)
	}
	_, err := CoolingTime(Weld{Wall: -273.15, HeatInput: 1e6, Thickness: 0.02, Shape: RunOnPlate})
	assert.NoError(t, err, "as cold as can be")
}

func TestAnalysis_ToTheLimit(t *testing.T) {
	for _, pure := range []Analysis{{"Ni": 100}, {"Cr": 60, "Ni": 40}} {
		_, err := pure.Equivalents()
		assert.NoError(t, err)
	}
	_, err := Analysis{"Cr": 60, "Ni": 40.01}.Equivalents()
	assert.Error(t, err)
	assert.Empty(t, Analysis{"C": 0.32, "Mn": 1.9}.OutsideCET())
	assert.Empty(t, Analysis{"C": 0.05, "Mn": 0.5}.OutsideCET())
	assert.Equal(t, []string{"C 0.321 % (0.05 to 0.32 %)", "Mn 0.499 % (0.5 to 1.9 %)"}, Analysis{"C": 0.321, "Mn": 0.499}.OutsideCET())
}
