package text

import (
	"io"
	"testing"

	"arctally/analyze/compare"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestComparisonGolden(t *testing.T) {
	s := sheet.New(sheettest.Input())
	for name, write := range map[string]func(io.Writer) error{
		"comparison.txt":      func(w io.Writer) error { return Comparison(w, s, sheet.Metric, sheettest.Comparison(compare.Turns)) },
		"comparison-time.txt": func(w io.Writer) error { return Comparison(w, s, sheet.Metric, sheettest.Comparison(compare.ArcTime)) },
	} {
		t.Run(name, func(t *testing.T) { sheettest.Golden(t, name, sheettest.Render(t, write)) })
	}
}
