package text

import (
	"bytes"
	"errors"
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

func TestPlanSheet_WriterFails(t *testing.T) {
	s := sheet.NewPlan(&procedure.Job{}, &plan.Plan{})
	for room := range 3 {
		assert.ErrorContains(t, Plan(&fullWriter{room}, s, sheet.US), "write plan: ")
	}
}

// fullWriter takes so many writes and no more.
type fullWriter struct{ room int }

func (w *fullWriter) Write(p []byte) (int, error) {
	if w.room--; w.room < 0 {
		return 0, errors.New("full")
	}
	return len(p), nil
}

// TestPlanSheet_Width keeps the table readable in a terminal.
func TestPlanSheet_Width(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, Plan(&out, sheet.NewPlan(&procedure.Job{}, &plan.Plan{}), sheet.Metric))
	for line := range strings.Lines(out.String()) {
		assert.LessOrEqual(t, len(line), pageWidth+4, line)
	}
}
