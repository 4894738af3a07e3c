package calib

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/quantity/quantitytest"
)

func TestStandards(t *testing.T) {
	quantitytest.Check(t, "calib", map[string]func(*testing.T, quantitytest.Row){
		"Fit":            func(t *testing.T, row quantitytest.Row) { checkLine(t, row, Fit) },
		"FitThroughZero": func(t *testing.T, row quantitytest.Row) { checkLine(t, row, FitThroughZero) },
		"forTwo":         checkForTwo,
	}, "regression.tsv")
}

func checkForTwo(t *testing.T, row quantitytest.Row) {
	nu := quantitytest.Input[quantity.Ratio](t, row, "nu")
	quantitytest.Want(t, row, "t", quantity.Ratio(2*forTwo(1, int(nu))))
}

func checkLine(t *testing.T, row quantitytest.Row, fit func(x, y []float64) (Fitted, bool)) {
	x, y := points(t, row.Inputs["data"])
	l, ok := fit(x, y)
	require.True(t, ok)
	got := map[string]float64{
		"offset": l.Offset, "gain": l.Gain, "uoffset": l.OffsetU, "ugain": l.GainU, "s": l.ResidualSD,
		"sse": l.ResidualSD * l.ResidualSD * float64(l.Dof), "r": l.Covariance / (l.OffsetU * l.GainU),
	}
	if _, ok := row.Inputs["at"]; ok {
		got["value"], got["uvalue"] = l.At(float64(quantitytest.Input[quantity.Ratio](t, row, "at")))
	}
	for name := range row.Expected {
		require.Contains(t, got, name)
		quantitytest.Want(t, row, name, quantity.Ratio(got[name]))
	}
}

// points returns a set of data: x and y.
func points(t *testing.T, name string) (x, y []float64) {
	t.Helper()
	switch name {
	case "NoInt1":
		for k := range 11 {
			x, y = append(x, 60+float64(k)), append(y, 130+float64(k))
		}
	case "GUM H.3": // t - 20 degC and the correction b; from memory, and it gives the printed line to the last digit
		x = []float64{1.521, 2.012, 2.512, 3.003, 3.507, 3.999, 4.513, 5.002, 5.503, 6.010, 6.511}
		y = []float64{-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160}
	case "Norris":
		return norris(t)
	default:
		t.Fatalf("there is no data %q", name)
	}
	return x, y
}

// norris reads the data where they lie beside the repository: they are no part of it.
func norris(t *testing.T) (x, y []float64) {
	t.Helper()
	text, err := os.ReadFile("../../../shared/data/nist-strd.json")
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("the NIST StRD data are not beside the repository: shared/data/nist-strd.json")
	}
	require.NoError(t, err)
	var data struct {
		Norris [][2]float64 `json:"Norris_xy"`
	}
	require.NoError(t, json.Unmarshal(text, &data))
	require.Len(t, data.Norris, 36)
	for _, p := range data.Norris {
		x, y = append(x, p[0]), append(y, p[1])
	}
	return x, y
}
