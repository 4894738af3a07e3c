package heat

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/acquire/quantity/quantitytest"
)

// budgetOf reads the components u1, u2 ... of a row, with their degrees of
// freedom where it has them.
func budgetOf(t *testing.T, row quantitytest.Row) Budget {
	var b Budget
	for k := 1; row.Inputs["u"+strconv.Itoa(k)] != ""; k++ {
		n := strconv.Itoa(k)
		c := Component{Name: n, Uncertainty: ratio(t, row, "u"+n), Distribution: Normal}
		if row.Inputs["nu"+n] != "" {
			c.Freedom = ratio(t, row, "nu"+n)
		}
		b = append(b, c)
	}
	require.NotEmpty(t, b)
	return b
}

func ratio(t *testing.T, row quantitytest.Row, name string) float64 {
	return float64(quantitytest.Input[quantity.Ratio](t, row, name))
}

func checkCombined(t *testing.T, row quantitytest.Row) {
	quantitytest.Want(t, row, "u", quantity.Ratio(budgetOf(t, row).Combined()))
}

func checkFreedom(t *testing.T, row quantitytest.Row) {
	quantitytest.Want(t, row, "nu", quantity.Ratio(budgetOf(t, row).Freedom()))
}

func checkCoverage(t *testing.T, row quantitytest.Row) {
	quantitytest.Want(t, row, "k", quantity.Ratio(Coverage(ratio(t, row, "p"), ratio(t, row, "nu"))))
}

// Many degrees of freedom, by the first terms of the expansion in 1/nu, with z of the
// normal distribution:
//
//	k = z + (z^3 + z)/(4*nu) + (5*z^5 + 16*z^3 + 3*z)/(96*nu^2)
//
// Source: handbooks of mathematical functions, 26.7.5. Standing: memory.
func TestCoverage_ofManyDegrees(t *testing.T) {
	z := Coverage(0.95, math.Inf(1))
	require.InDelta(t, 1.959963984540054, z, 1e-15)
	for _, c := range []struct{ nu, off float64 }{{1e3, 2e-8}, {1e4, 1e-10}, {1e5, 1e-9}, {1e6, 1e-9}, {1e7, 3e-9}} {
		want := z + (math.Pow(z, 3)+z)/(4*c.nu) + (5*math.Pow(z, 5)+16*math.Pow(z, 3)+3*z)/(96*c.nu*c.nu)
		require.InDelta(t, want, Coverage(0.95, c.nu), c.off, c.nu)
	}
	require.Equal(t, z, Coverage(0.95, 1e7+1), "beyond, the normal distribution is as good")
	require.Equal(t, z, Coverage(0.95, 1e300))
	require.Equal(t, Coverage(0.95, 3), Coverage(0.95, 3.99), "rounded down")
	require.Equal(t, Coverage(0.95, 1), Coverage(0.95, 0.4), "there is at least one")
}

// checkExpanded uses k = 2, or the factor for a probability where the row has one.
func checkExpanded(t *testing.T, row quantitytest.Row) {
	b := budgetOf(t, row)
	expanded := quantity.Ratio(b.Expanded(1))
	if row.Inputs["p"] != "" {
		expanded = quantity.Ratio(Coverage(ratio(t, row, "p"), b.Freedom()) * b.Combined())
	}
	quantitytest.Want(t, row, "U", expanded)
}

// checkStandard gives calibrations with the uncertainties of the row, and wants
// nothing else in the budget of a pass that adds nothing of its own.
func checkStandard(t *testing.T, row quantitytest.Row) {
	u, uu := quantitytest.Input[quantity.Volts](t, row, "U"), quantitytest.Input[quantity.Volts](t, row, "uU")
	i, ui := quantitytest.Input[quantity.Amperes](t, row, "I"), quantitytest.Input[quantity.Amperes](t, row, "uI")
	v, uv := quantitytest.Input[quantity.MetresPerSecond](t, row, "v"), quantitytest.Input[quantity.MetresPerSecond](t, row, "uv")
	q := HeatInput(quantity.Ratio(ratio(t, row, "k")), ArcEnergy(quantity.Watts(float64(u)*float64(i)), v))
	quantitytest.Want(t, row, "Q", q)
	b := plain(DoubtOf([]calib.Calibration{
		{Channel: "voltage", Relative: float64(uu / u)}, {Channel: "current", Relative: float64(ui / i)}, {Channel: "travel", Relative: float64(uv / v)},
	}).Budget(Circumstances{Travel: TravelMeasured}))
	quantitytest.Want(t, row, "u", b.Standard(q))
}

func checkRectangular(t *testing.T, row quantitytest.Row) {
	quantitytest.Want(t, row, "u", quantity.Ratio(rectangular(ratio(t, row, "a"))))
}

func checkFalseAcceptance(t *testing.T, row quantitytest.Row) {
	quantitytest.Want(t, row, "P", FalseAcceptance(ratio(t, row, "share"), 0))
}

// checkAcceptanceLimit wants the value on the acceptance limit accepted, and the
// next one above it not.
func checkAcceptanceLimit(t *testing.T, row quantitytest.Row) {
	window := quantity.Range[quantity.JoulesPerMetre]{High: quantitytest.Input[quantity.JoulesPerMetre](t, row, "limit"), HasHigh: true}
	expanded, share := quantitytest.Input[quantity.JoulesPerMetre](t, row, "U"), ratio(t, row, "share")
	limit := window.High - quantity.JoulesPerMetre(share)*expanded
	quantitytest.Want(t, row, "accept", limit)
	require.Equal(t, Within, Judge(limit, expanded, window, share))
	above := quantity.JoulesPerMetre(math.Nextafter(float64(limit), math.Inf(1)))
	require.Equal(t, WithinNearLimit, Judge(above, expanded, window, share))
}

func checkConformity(t *testing.T, row quantitytest.Row) {
	var window quantity.Range[quantity.JoulesPerMetre]
	if window.HasHigh = row.Inputs["high"] != ""; window.HasHigh {
		window.High = quantity.JoulesPerMetre(ratio(t, row, "high"))
	}
	if window.HasLow = row.Inputs["low"] != ""; window.HasLow {
		window.Low = quantity.JoulesPerMetre(ratio(t, row, "low"))
	}
	p := Conformity(quantity.JoulesPerMetre(ratio(t, row, "y")), quantity.JoulesPerMetre(ratio(t, row, "u")), window)
	quantitytest.Want(t, row, "P", quantity.Ratio(p))
}

func checkStandIn(t *testing.T, row quantitytest.Row) {
	for _, c := range (Doubt{}).Budget(Circumstances{}) {
		if c.Name == row.Inputs["channel"] {
			require.Equal(t, StandIn, c.Basis)
			quantitytest.Want(t, row, "a", quantity.Ratio(c.Uncertainty*math.Sqrt(3)))
			return
		}
	}
	t.Fatalf("no component of %s", row.Inputs["channel"])
}
