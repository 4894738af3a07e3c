package sheet_test

import (
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestProofJSONGolden(t *testing.T) {
	s, proven := sheet.New(sheettest.Input()), sheet.New(sheettest.Proven())
	sheettest.Golden(t, "proof.json", sheettest.Render(t, func(w io.Writer) error { return s.ProofJSON(w, sheet.Linear) }))
	assert.False(t, s.Proved())
	assert.True(t, proven.Proved())
}

// The budget of a pass adds up: what the JSON says combines to what it says.
func TestUncertaintyRowAddsUp(t *testing.T) {
	row := sheet.New(sheettest.Input()).PassList().Passes[0].Uncertainty
	require.NotNil(t, row)
	sum, variance := 0.0, 0.0
	for _, c := range row.Components {
		sum += c.Contribution
		variance += c.Relative * c.Relative
	}
	assert.InDelta(t, 1, sum, 1e-12)
	assert.InEpsilon(t, *row.Relative**row.Relative, variance, 1e-12)
	assert.InEpsilon(t, 2**row.Standard, *row.Expanded, 1e-12)
	assert.InEpsilon(t, *sheet.New(sheettest.Input()).PassList().Passes[0].ExpandedUncertainty, *row.Expanded, 1e-5)
	assert.Greater(t, *row.Conformity, 0.9999)
	assert.Greater(t, row.Factor95, 1.96)
	assert.Less(t, row.Factor95, 2.0, "four degrees of freedom of the smallest part are many of the whole")
}

func TestPassNumbers(t *testing.T) {
	for want, numbers := range map[string][]int{
		"pass 3": {3}, "passes 1-3": {1, 2, 3}, "passes 1, 3-4, 9": {1, 3, 4, 9},
	} {
		assert.Equal(t, want, sheet.PassNumbers(numbers))
	}
}
