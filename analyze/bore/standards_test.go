package bore

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/quantity/quantitytest"
)

type row = quantitytest.Row

func TestStandards(t *testing.T) {
	quantitytest.Check(t, "bore", map[string]func(*testing.T, row){
		"WireMassPerLength":  checkWireMassPerLength,
		"WireLengthPerPound": checkWireLengthPerPound,
		"DepositionRate":     checkDepositionRate,
		"DepositMass":        checkDepositMass,
		"DefaultEfficiency":  func(t *testing.T, r row) { quantitytest.Want(t, r, "eff", DefaultEfficiency) },
		"BeadArea":           checkBeadArea,
		"SurfaceSpeed":       checkSurfaceSpeed,
		"RotationFor":        checkRotationFor,
		"HelixPathPerTurn":   checkHelixPathPerTurn,
		"PathPerTurn":        checkPathPerTurn,
		"TurnsPerLayer":      checkTurnsPerLayer,
		"LayerThickness":     checkLayerThickness,
		"LayerDiameter":      checkLayerDiameter,
		"TravelAt":           checkTravelAt,
		"StepForOverlap":     checkStepForOverlap,
		"WeighedEfficiency":  checkWeighedEfficiency,
		"TangentStep":        func(t *testing.T, r row) { quantitytest.Want(t, r, "p", TangentStep(metres(t, r, "w"))) },
	}, "wire.tsv", "bore.tsv")
}

func metres(t *testing.T, r row, name string) quantity.Metres {
	return quantitytest.Input[quantity.Metres](t, r, name)
}

func speed(t *testing.T, r row, name string) quantity.MetresPerSecond {
	return quantitytest.Input[quantity.MetresPerSecond](t, r, name)
}

func ratio(t *testing.T, r row, name string) quantity.Ratio {
	return quantitytest.Input[quantity.Ratio](t, r, name)
}

func rotation(t *testing.T, r row) quantity.TurnsPerSecond {
	return quantitytest.Input[quantity.TurnsPerSecond](t, r, "n")
}

func checkWireMassPerLength(t *testing.T, r row) {
	mass := float64(WireMassPerLength(metres(t, r, "d"))) * float64(metres(t, r, "L"))
	quantitytest.Want(t, r, "m", quantity.Kilograms(mass))
}

func checkWireLengthPerPound(t *testing.T, r row) {
	pound := quantity.Of[quantity.Kilograms](1, "lb")
	quantitytest.Want(t, r, "L", quantity.Metres(float64(pound)/float64(WireMassPerLength(metres(t, r, "d")))))
}

func checkDepositionRate(t *testing.T, r row) {
	quantitytest.Want(t, r, "rate", DepositionRate(metres(t, r, "d"), speed(t, r, "WFS"), ratio(t, r, "eff")))
}

func checkDepositMass(t *testing.T, r row) {
	wire := quantitytest.Input[quantity.Kilograms](t, r, "wire")
	length := float64(wire) / float64(WireMassPerLength(metres(t, r, "d")))
	quantitytest.Want(t, r, "m", DepositMass(metres(t, r, "d"), quantity.Metres(length), ratio(t, r, "eff")))
}

func checkWeighedEfficiency(t *testing.T, r row) {
	mass := func(name string) quantity.Kilograms { return quantitytest.Input[quantity.Kilograms](t, r, name) }
	efficiency, err := WeighedEfficiency(mass("m"), mass("wire"), mass("stub"))
	require.NoError(t, err)
	quantitytest.Want(t, r, "eff", efficiency)
}

func checkBeadArea(t *testing.T, r row) {
	quantitytest.Want(t, r, "A", BeadArea(metres(t, r, "d"), speed(t, r, "WFS"), speed(t, r, "v"), ratio(t, r, "eff")))
}

func checkSurfaceSpeed(t *testing.T, r row) {
	quantitytest.Want(t, r, "v", SurfaceSpeed(metres(t, r, "D"), rotation(t, r)))
}

func checkRotationFor(t *testing.T, r row) {
	quantitytest.Want(t, r, "n", RotationFor(metres(t, r, "D"), speed(t, r, "v")))
}

func checkHelixPathPerTurn(t *testing.T, r row) {
	quantitytest.Want(t, r, "s", HelixPathPerTurn(metres(t, r, "D"), metres(t, r, "p")))
}

func checkPathPerTurn(t *testing.T, r row) {
	helix := PathPerTurn(Helix, metres(t, r, "D"), metres(t, r, "p"))
	ring := PathPerTurn(Rings, metres(t, r, "D"), metres(t, r, "p"))
	quantitytest.Want(t, r, "longer", quantity.Ratio(helix/ring-1))
}

// checkTurnsPerLayer follows a layer to its end: turns, path and time.
func checkTurnsPerLayer(t *testing.T, r row) {
	b := Bore{WornDiameter: metres(t, r, "D"), Length: metres(t, r, "L")}
	d := Deposit{Pattern: Helix, Pitch: metres(t, r, "p")}
	turns := TurnsPerLayer(b, d)
	path := quantity.Metres(turns) * PathPerTurn(d.Pattern, b.WornDiameter, d.Pitch)
	quantitytest.Want(t, r, "turns", quantity.Ratio(turns))
	quantitytest.Want(t, r, "path", path)
	quantitytest.Want(t, r, "time", quantity.Seconds(float64(path)/float64(speed(t, r, "v"))))
}

func checkLayerThickness(t *testing.T, r row) {
	thickness, err := LayerThickness(metres(t, r, "D"), quantitytest.Input[quantity.SquareMetres](t, r, "A"), metres(t, r, "p"))
	require.NoError(t, err)
	quantitytest.Want(t, r, "t", thickness)
}

// checkLayerDiameter feeds wire at the speed that makes the bead of the row.
func checkLayerDiameter(t *testing.T, r row) {
	const travel = 0.005
	d := Deposit{Pattern: Helix, Pitch: metres(t, r, "p"), WireDiameter: 0.9e-3, Efficiency: 1}
	area := quantitytest.Input[quantity.SquareMetres](t, r, "A")
	rates := Rates{Travel: travel, WireSpeed: quantity.MetresPerSecond(area/WireArea(d.WireDiameter)) * travel}
	diameter, err := LayerDiameter(Bore{WornDiameter: metres(t, r, "D")}, d, rates, int(ratio(t, r, "layer")))
	require.NoError(t, err)
	quantitytest.Want(t, r, "D", diameter)
}

func checkTravelAt(t *testing.T, r row) {
	rates := Rates{Rotation: rotation(t, r), Travel: 1} // a declared rotation rules
	wide, narrow := rates.TravelAt(metres(t, r, "D1")), rates.TravelAt(metres(t, r, "D2"))
	quantitytest.Want(t, r, "rise", quantity.Ratio(wide/narrow-1))
}

func checkStepForOverlap(t *testing.T, r row) {
	quantitytest.Want(t, r, "p", StepForOverlap(metres(t, r, "w"), ratio(t, r, "f")))
}
