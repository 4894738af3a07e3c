package text

import (
	"io"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/inspect"
	"arctally/analyze/plan"
	"arctally/analyze/procedure"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// An entry is never changed: one that took the place of another says so, and so does
// the other.
func TestEntriesGolden(t *testing.T) {
	in := sheettest.Decided()
	in.Entries[1].Photographs, in.Entries[2].Photographs = nil, in.Entries[2].Photographs[2:] // what an encoder makes may change
	again := *in.Entries[3].Machining
	again.Instrument, again.CleanedUp, again.Where = "", inspect.NotAllRound, "at 250 deg"
	in.Entries = append(in.Entries, inspect.Entry{Number: 5, At: time.Date(2026, 3, 3, 9, 0, 0, 0, time.UTC), By: "Machinist 1", Corrects: 4, Machining: &again})
	s := sheet.New(in)
	for name, u := range map[string]sheet.Units{"entries.txt": sheet.Metric, "entries-us.txt": sheet.US} {
		t.Run(name, func(t *testing.T) {
			sheettest.Golden(t, name, sheettest.Render(t, func(w io.Writer) error { return Entries(w, s, u) }))
		})
	}
}

func TestPlanGolden(t *testing.T) {
	job := sheettest.Job()
	made, err := plan.Make(job, plan.Options{})
	require.NoError(t, err)
	for name, u := range map[string]sheet.Units{"plan.txt": sheet.Metric, "plan-us.txt": sheet.US} {
		t.Run(name, func(t *testing.T) {
			sheettest.Golden(t, name, sheettest.Render(t, func(w io.Writer) error { return Plan(w, sheet.NewPlan(job, made), u) }))
		})
	}
}

// What there is none of is said to be none, where a reader looks for it.
func TestNothingToShow(t *testing.T) {
	s := sheet.New(sheet.Input{Job: &procedure.Job{}})
	assert.Equal(t, "entries\n     (none)\n", sheettest.Render(t, func(w io.Writer) error { return Entries(w, s, sheet.Metric) }))
	for _, table := range []func(io.Writer, *sheet.Sheet, sheet.Units) error{Passes, Findings} {
		assert.Contains(t, sheettest.Render(t, func(w io.Writer) error { return table(w, s, sheet.Metric) }), "\n     (none)\n\n")
	}
	proof := sheettest.Render(t, func(w io.Writer) error { return Proof(w, s, sheet.Linear) })
	assert.NotContains(t, proof, "(none)", "its first sentence says it")
}

// A line is full at its width, and not before.
func TestWrap(t *testing.T) {
	assert.Equal(t, []string{"aa bb", "cc"}, wrap("aa bb cc", 5))
	assert.Equal(t, []string{"aa", "bb", "cc"}, wrap("aa bb  cc", 4))
	assert.Equal(t, []string{"longer", "b"}, wrap("longer b", 3), "a word is not cut")
	assert.Empty(t, wrap(" ", 5))
}
