package text

import (
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestProofGolden(t *testing.T) {
	s, proven := sheet.New(sheettest.Input()), sheet.New(sheettest.Proven())
	for name, write := range map[string]func(io.Writer) error{
		"proof.txt":           func(w io.Writer) error { return Proof(w, s, sheet.Metric, sheet.Linear) },
		"proof-simulated.txt": func(w io.Writer) error { return Proof(w, proven, sheet.Metric, sheet.Simulated) },
	} {
		t.Run(name, func(t *testing.T) { sheettest.Golden(t, name, sheettest.Render(t, write)) })
	}
}

func TestProofClaimsNoClause(t *testing.T) {
	for _, in := range []sheet.Input{sheettest.Input(), sheettest.Proven(), {Job: sheettest.Job()}} {
		text := strings.Join(strings.Fields(sheettest.Render(t, func(w io.Writer) error { return Proof(w, sheet.New(in), sheet.Metric, sheet.Linear) })), " ")
		assert.Contains(t, text, "No conformity to a clause of a standard is claimed; only a person accepts.")
		assert.Contains(t, text, "claim: the heat input Q = k*E (EN 1011-1) of each pass")
		assert.Contains(t, text, "rule: guard band w = 1 U, U = k*u with the coverage factor k = 2")
	}
}
