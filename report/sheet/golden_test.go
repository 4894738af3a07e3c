package sheet_test

import (
	"io"
	"testing"

	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestGolden(t *testing.T) {
	s := sheet.New(sheettest.Input())
	for name, write := range map[string]func(io.Writer) error{
		"passes.json":   s.PassesJSON,
		"findings.json": s.FindingsJSON,
		"sheet.json":    s.JSON,
	} {
		t.Run(name, func(t *testing.T) { sheettest.Golden(t, name, sheettest.Render(t, write)) })
	}
}
