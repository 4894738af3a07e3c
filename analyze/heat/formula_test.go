package heat

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/quantity/quantitytest"
)

func TestStandards(t *testing.T) {
	quantitytest.Check(t, "heat", map[string]func(*testing.T, quantitytest.Row){
		"ThermalEfficiency":   checkThermalEfficiency,
		"ArcEnergy":           checkArcEnergy,
		"HeatInput":           checkHeatInput,
		"ArcEnergyOverLength": checkArcEnergyOverLength,
		"Budget.Combined":     checkCombined,
		"Budget.Freedom":      checkFreedom,
		"Budget.Standard":     checkStandard,
		"Coverage":            checkCoverage,
		"Expanded":            checkExpanded,
		"rectangular":         checkRectangular,
		"FalseAcceptance":     checkFalseAcceptance,
		"Judge":               checkAcceptanceLimit,
		"Conformity":          checkConformity,
		"StandIn":             checkStandIn,
	}, "heat-input.tsv", "metrology.tsv")
}

func checkThermalEfficiency(t *testing.T, row quantitytest.Row) {
	k, ok := ThermalEfficiency(row.Inputs["process"])
	require.True(t, ok)
	quantitytest.Want(t, row, "k", k)
}

// arcEnergyOf takes the power of a row as it is given: as such, or as volts and
// amperes.
func arcEnergyOf(t *testing.T, row quantitytest.Row) quantity.JoulesPerMetre {
	travel := quantitytest.Input[quantity.MetresPerSecond](t, row, "v")
	if _, given := row.Inputs["P"]; given {
		return ArcEnergy(quantitytest.Input[quantity.Watts](t, row, "P"), travel)
	}
	power := float64(quantitytest.Input[quantity.Volts](t, row, "U")) * float64(quantitytest.Input[quantity.Amperes](t, row, "I"))
	return ArcEnergy(quantity.Watts(power), travel)
}

func checkArcEnergy(t *testing.T, row quantitytest.Row) {
	quantitytest.Want(t, row, "E", arcEnergyOf(t, row))
}

func checkHeatInput(t *testing.T, row quantitytest.Row) {
	quantitytest.Want(t, row, "Q", HeatInput(quantitytest.Input[quantity.Ratio](t, row, "k"), arcEnergyOf(t, row)))
}

func checkArcEnergyOverLength(t *testing.T, row quantitytest.Row) {
	energy := quantitytest.Input[quantity.Joules](t, row, "W")
	quantitytest.Want(t, row, "E", ArcEnergyOverLength(energy, quantitytest.Input[quantity.Metres](t, row, "L")))
}

func TestThermalEfficiency_UnknownProcess(t *testing.T) {
	_, ok := ThermalEfficiency("glue")
	assert.False(t, ok)
}
