package paper

import (
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/report/paper/layout"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// fills are how far down each sheet its lowest word stands above the foot, as a share of
// its height.
func fills(t *testing.T, file []byte) (all []float64) {
	t.Helper()
	number := func(text string) float64 {
		x, err := strconv.ParseFloat(text, 64)
		assert.NoError(t, err)
		return x
	}
	for _, one := range strings.Split(reader(t, file, "pdftotext", []string{"-bbox"}, "-"), "<page ")[1:] {
		height, lowest := number(regexp.MustCompile(`height="([\d.]+)"`).FindStringSubmatch(one)[1]), 0.0
		for _, word := range regexp.MustCompile(`yMax="([\d.]+)"`).FindAllStringSubmatch(one, -1) {
			if y := number(word[1]) / height; y < footAt {
				lowest = max(lowest, y)
			}
		}
		all = append(all, lowest)
	}
	return all
}

// Of the height of a sheet: where its foot begins, how far down the emptiest one must reach
// at least, and all together. Ours, no source.
const (
	footAt   = 0.945
	emptiest = 0.5
	together = 0.75
)

// No sheet is half empty but the last one, and together they are three quarters full.
func TestPDF_SheetsAreFull(t *testing.T) {
	if testing.Short() {
		t.Skip("it prints a record many times")
	}
	for name, in := range map[string]sheet.Input{"decided": sheettest.Decided(), "plain": sheettest.Input()} {
		for _, u := range []sheet.Units{sheet.Metric, sheet.US} {
			for _, format := range []layout.Format{layout.A4, layout.Letter} {
				sum, all := 0.0, fills(t, pdf(t, sheet.New(in), u, format))
				all = all[:len(all)-1]
				for k, one := range all {
					assert.Greater(t, one, emptiest, "sheet %d of %s in units %d on %s", k+1, name, u, format)
					sum += one
				}
				assert.Greater(t, sum, together*float64(len(all)), "%s in units %d on %s: %.2f", name, u, format, all)
			}
		}
	}
}
