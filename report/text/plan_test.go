package text

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/plan"
	"arctally/analyze/procedure"
	"arctally/report/sheet"
)

func TestPlanTable_Unknown(t *testing.T) {
	s := sheet.NewPlan(&procedure.Job{}, &plan.Plan{Layers: []plan.Layer{{Number: 1}}, Warnings: []plan.Warning{{Kind: "k", Layer: 1, Text: "text"}}})
	var out bytes.Buffer
	require.NoError(t, Plan(&out, s, sheet.Metric))
	assert.Contains(t, out.String(), "carbon equivalents: not known")
	assert.Contains(t, out.String(), "warning: k, layer 1: text")
}

// TestPlanSheet_Width keeps the table readable in a terminal.
func TestPlanSheet_Width(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, Plan(&out, sheet.NewPlan(&procedure.Job{}, &plan.Plan{}), sheet.Metric))
	for line := range strings.Lines(out.String()) {
		assert.LessOrEqual(t, len(line), pageWidth+4, line)
	}
}
