package text

import (
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/bore"
	"arctally/analyze/procedure"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestMapGolden(t *testing.T) {
	s := sheettest.Mapped(nil)
	for name, write := range map[string]func(io.Writer) error{
		"map-stock.txt":   func(w io.Writer) error { return Map(w, s, sheet.StockLayer, sheet.Metric, bore.DefaultEccentricity) },
		"map-heat-us.txt": func(w io.Writer) error { return Map(w, s, sheet.HeatLayer, sheet.US, bore.DefaultEccentricity) },
	} {
		t.Run(name, func(t *testing.T) { sheettest.Golden(t, name, sheettest.Render(t, write)) })
	}
}

func TestMapTable_NoMap(t *testing.T) {
	require.ErrorIs(t, Map(io.Discard, sheet.New(sheet.Input{Job: &procedure.Job{}}), sheet.StockLayer, sheet.Metric, 0), sheet.ErrNoMap)
}

// A bore that is too long for a figure to each pitch keeps the least of each field.
func TestMapOfALongBore(t *testing.T) {
	job := sheettest.Job()
	job.Bore.Length = 0.6
	m := bore.NewMap(job.Bore, job.Deposit)
	m.WireMeasured = 1
	for k := range m.Cells {
		m.Cells[k].Volume = 27e-9
	}
	m.At(123, 10).Volume = 0
	f := sheet.Coarse(m, tableAcross, tableRows)
	require.LessOrEqual(t, f.Rows, tableRows)
	assert.InDelta(t, -1e-3, float64(*f.Least(123/f.Down, 3, m.Stock)), 1e-12)
	s := sheettest.Mapped(func(in *sheet.Input) { in.Result.Map = m })
	assert.Contains(t, sheettest.Render(t, func(w io.Writer) error { return Map(w, s, sheet.StockLayer, sheet.Metric, bore.DefaultEccentricity) }), "369.0 mm to 372.0 mm deep")
}
