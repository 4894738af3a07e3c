package sheet_test

import (
	"encoding/json"
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/compare"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestComparisonJSON(t *testing.T) {
	var o sheet.ComparisonObject
	s := sheet.New(sheettest.Input())
	text := sheettest.Render(t, func(w io.Writer) error { return s.ComparisonJSON(w, sheettest.Comparison(compare.Turns)) })
	require.NoError(t, json.Unmarshal([]byte(text), &o))
	require.Len(t, o.Bins, 144)
	assert.Nil(t, o.With)
	assert.Equal(t, []int{1, 2, 3}, o.Good)
	assert.InDelta(t, 19.5, *o.Bins[101].This.Voltage, 1e-12)
	assert.InDelta(t, 145, *o.Bins[101].Angle, 1e-12)
	assert.Nil(t, o.Bins[101].This.Wire)
	require.Len(t, o.Parts, 1)
	assert.InDelta(t, 4.2, *o.Parts[0].FromDepth, 1e-9)
	assert.Equal(t, "V", o.Parts[0].Unit)
}
