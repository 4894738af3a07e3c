package paper

import (
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/acquire/foreign"
	"arctally/analyze/compare"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestComparisonHTML(t *testing.T) {
	s := sheet.New(sheettest.Input())
	for _, way := range []compare.Way{compare.Turns, compare.ArcTime} {
		html := sheettest.Render(t, func(w io.Writer) error { return Comparison(w, s, sheet.Metric, sheettest.Comparison(way)) })
		wellFormed(t, html)
		assert.NotRegexp(t, loads, html)
		assert.NotContains(t, html, "NaN")
		assert.NotContains(t, html, "ZgotmplZ")
		assert.Contains(t, html, "Pass 4 laid over the median of 3 good passes")
		assert.Contains(t, html, "voltage 2.00 V above the median; look")
		assert.Equal(t, 4, strings.Count(html, "<figure"), "no wire speed, no strip")
		assert.Contains(t, html, `class="partno">1<`)
	}
}

func TestComparisonHTML_Escapes(t *testing.T) {
	in := sheettest.Input()
	in.RecordName, in.Job.Name = "</style><script>alert(1)</script>\u202e", "</title><script>\x1b"
	c := sheettest.Comparison(compare.Turns)
	c.Departures[0].Sentence = "<script>"
	html := sheettest.Render(t, func(w io.Writer) error { return Comparison(w, sheet.New(in), sheet.Metric, c) })
	wellFormed(t, html)
	assert.NotRegexp(t, loads, html)
	assert.Contains(t, html, `\u202e`)
	assert.Contains(t, html, `\u001b`)
	assert.False(t, strings.ContainsFunc(html, foreign.IsHidden))
}

// A loose page can be put back: every printed document says which page of how many it is.
func TestComparisonHTML_NumbersItsPages(t *testing.T) {
	html := sheettest.Render(t, func(w io.Writer) error {
		return Comparison(w, sheet.New(sheettest.Input()), sheet.Metric, sheettest.Comparison(compare.Turns))
	})
	for k, one := range sheetsOf(t, browserPrint(t, html)) {
		assert.Contains(t, one, fmt.Sprintf("page %d of ", k+1))
	}
}
