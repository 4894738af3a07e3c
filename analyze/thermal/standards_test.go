package thermal

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/quantity/quantitytest"
)

type row = quantitytest.Row

func TestStandards(t *testing.T) {
	quantitytest.Check(t, "thermal", map[string]func(*testing.T, row){
		"CoolingTime":          checkCoolingTime,
		"Transition":           checkTransition,
		"CoolingTimeRefused":   checkCoolingTimeRefused,
		"Equivalents":          checkEquivalents,
		"Preheat":              func(t *testing.T, r row) { checkPreheat(t, r, Preheat) },
		"PreheatSEW088":        func(t *testing.T, r row) { checkPreheat(t, r, PreheatSEW088) },
		"PreheatRefused":       checkPreheatRefused,
		"HydrogenControlIndex": checkHydrogenControlIndex,
		"PreheatZone":          checkPreheatZone,
	}, "thermal.tsv")
}

func ratio(t *testing.T, r row, name string) quantity.Ratio {
	return quantitytest.Input[quantity.Ratio](t, r, name)
}

func weldOf(t *testing.T, r row) Weld {
	return Weld{
		Wall:      quantitytest.Input[quantity.Celsius](t, r, "T0"),
		HeatInput: quantitytest.Input[quantity.JoulesPerMetre](t, r, "Q"),
		Thickness: quantitytest.Input[quantity.Metres](t, r, "d"),
		Shape:     Shape{ratio(t, r, "F2"), ratio(t, r, "F3")},
	}
}

func checkCoolingTime(t *testing.T, r row) {
	c, err := CoolingTime(weldOf(t, r))
	require.NoError(t, err)
	quantitytest.Want(t, r, "t85", c.Time)
	quantitytest.Want(t, r, "t2", c.Thin)
	quantitytest.Want(t, r, "t3", c.Thick)
	assert.Equal(t, r.Expected["regime"]+"-D", string(c.Regime))
}

func checkTransition(t *testing.T, r row) {
	c, err := CoolingTime(weldOf(t, r))
	require.NoError(t, err)
	quantitytest.Want(t, r, "dt", c.Transition)
}

func checkCoolingTimeRefused(t *testing.T, r row) {
	_, err := CoolingTime(weldOf(t, r))
	refused(t, r, err)
}

func refused(t *testing.T, r row, err error) {
	t.Helper()
	var out *RangeError
	require.ErrorAs(t, err, &out)
	assert.Equal(t, r.Expected["quantity"], out.Quantity)
}

func checkEquivalents(t *testing.T, r row) {
	steel := Analysis{}
	for element := range r.Inputs {
		steel[element] = float64(ratio(t, r, element))
	}
	ce, err := steel.Equivalents()
	require.NoError(t, err)
	for name, got := range map[string]MassPercent{"IIW": ce.IIW, "D11": ce.D11, "CET": ce.CET, "Pcm": ce.Pcm} {
		quantitytest.Want(t, r, name, quantity.Ratio(got))
	}
}

func steelOf(t *testing.T, r row) Steel {
	return Steel{
		CET:       MassPercent(ratio(t, r, "CET")),
		Thickness: quantitytest.Input[quantity.Metres](t, r, "d"),
		Hydrogen:  quantitytest.Input[quantity.Hydrogen](t, r, "HD"),
		HeatInput: quantitytest.Input[quantity.JoulesPerMetre](t, r, "Q"),
	}
}

func checkPreheat(t *testing.T, r row, formula func(Steel) (quantity.Celsius, error)) {
	tp, err := formula(steelOf(t, r))
	require.NoError(t, err)
	quantitytest.Want(t, r, "Tp", tp)
}

func checkPreheatRefused(t *testing.T, r row) {
	for _, formula := range []func(Steel) (quantity.Celsius, error){Preheat, PreheatSEW088} {
		_, err := formula(steelOf(t, r))
		refused(t, r, err)
	}
}

func checkHydrogenControlIndex(t *testing.T, r row) {
	index, err := HydrogenControlIndex(MassPercent(ratio(t, r, "Pcm")), quantitytest.Input[quantity.Hydrogen](t, r, "H"))
	require.NoError(t, err)
	quantitytest.Want(t, r, "index", quantity.Ratio(index))
}

func checkPreheatZone(t *testing.T, r row) {
	quantitytest.Want(t, r, "zone", PreheatZone(quantitytest.Input[quantity.Metres](t, r, "d")))
}
