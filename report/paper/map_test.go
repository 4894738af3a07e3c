package paper

import (
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
	"arctally/report/text"
)

func TestBoreSectionGolden(t *testing.T) {
	html, err := recordOf(sheettest.Mapped(nil), sheet.Metric).bore().Blocks()
	require.NoError(t, err)
	sheettest.Golden(t, "bore-section.html", string(html))
}

func TestMapOfLittleKnowledge(t *testing.T) {
	for want, change := range map[string]func(*sheet.Input){
		"the finish diameter is not declared": func(in *sheet.Input) { in.Result.Map.Bore.FinishDiameter = 0 },
		"neither the wire that was fed":       func(in *sheet.Input) { in.Result.Map.WireMeasured = 0 },
		"set-point of the wire speed":         func(in *sheet.Input) { in.Result.Map.WireMeasured, in.Result.Map.WireDeclared = 0, 70 },
		"which nobody measured":               func(in *sheet.Input) { in.Result.Map.WireDeclared = 70 },
	} {
		s := sheettest.Mapped(change)
		assert.Contains(t, sheettest.Render(t, func(w io.Writer) error { return text.Map(w, s, sheet.StockLayer, sheet.Metric, 0) }), want)
		html := sheettest.Render(t, pageOf(s))
		wellFormed(t, html)
		assert.Contains(t, html, want)
		assert.NotContains(t, html, "NaN")
	}
}

func TestMapIsInTheWeldRecord(t *testing.T) {
	html := sheettest.Render(t, pageOf(sheettest.Mapped(nil)))
	wellFormed(t, html)
	for _, words := range []string{
		"Will it clean up", "more metal is needed", "from 250 deg to 265 deg, 9.0 mm to 12.0 mm deep", "No data, so nobody knows",
		`class="cells short"`, "</svg>below 0.25 mm</li>", "</svg>within: at least 0.25 mm</li>", "</svg>within 0.250 to 0.550 kJ/mm</li>", "0.2 s of arc lies outside the map",
	} {
		assert.Contains(t, html, words)
	}
	assert.NotRegexp(t, loads, html)
	assert.NotContains(t, html, "ZgotmplZ")
	assert.NotContains(t, sheettest.Render(t, pageOf(sheet.New(sheettest.Input()))), "Will it clean up", "no map, no section")
}
