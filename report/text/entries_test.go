package text

import (
	"io"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/finding"
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

// What was put on record about an event in one act is shown as one, with all its numbers.
func TestEntries_ofAnEvent(t *testing.T) {
	in := sheettest.Input()
	at := time.Date(2026, 3, 3, 9, 0, 0, 0, time.UTC)
	about := func(number, k, corrects int, decision inspect.Decision) inspect.Entry {
		return inspect.Entry{Number: number, At: at.Add(time.Duration(corrects) * time.Hour), By: "Inspector 1", Corrects: corrects, Disposition: &inspect.Disposition{
			Of: inspect.Refer(&in.Result.Findings[k]), Method: inspect.Visual, Result: inspect.NoIndication, Decision: decision, Remark: "r",
		}}
	}
	second := in.Result.Findings[1]
	in.Result.Findings[1] = in.Result.Findings[0]
	in.Result.Findings[1].Number, in.Result.Findings[1].Rule, in.Result.Findings[1].Worst, in.Result.Findings[1].Limit = 2, finding.Current, 90, 110
	require.Equal(t, 2, second.Number)
	corrected := about(4, 1, 2, inspect.Repair)
	corrected.At = at.Add(time.Hour)
	again := about(3, 0, 1, inspect.Repair)
	in.Entries = []inspect.Entry{about(1, 0, 0, inspect.Accept), about(2, 1, 0, inspect.Accept), again, corrected, about(5, 3, 0, inspect.KeepOpen)}
	text := sheettest.Render(t, func(w io.Writer) error { return Entries(w, sheet.New(in), sheet.Metric) })
	assert.Equal(t, "entries\n"+
		" 1 to 2 event 1 (set voltage or its leads), findings 1, 2, 2026-03-03 09:00 UTC, by Inspector 1 (name typed)\n"+
		"     visual: no indication; accept\n     r\n     entries 3, 4 took its place\n"+
		" 3 to 4 event 1 (set voltage or its leads), findings 1, 2, 2026-03-03 10:00 UTC, by Inspector 1 (name typed)\n"+
		"     visual: no indication; repair\n     r\n     takes the place of entries 1, 2\n"+
		" 5 finding 4 (gas_flow, pass 2, 4 deg, 33.0 mm deep), 2026-03-03 09:00 UTC, by Inspector 1 (name typed)\n     visual: no indication; keep open\n     r\n", text)
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
	proof := sheettest.Render(t, func(w io.Writer) error { return Proof(w, s, sheet.Metric, sheet.Linear) })
	assert.NotContains(t, proof, "(none)", "its first sentence says it")
}

// A line is full at its width, and not before.
func TestWrap(t *testing.T) {
	assert.Equal(t, []string{"aa bb", "cc"}, wrap("aa bb cc", 5))
	assert.Equal(t, []string{"aa", "bb", "cc"}, wrap("aa bb  cc", 4))
	assert.Equal(t, []string{"longer", "b"}, wrap("longer b", 3), "a word is not cut")
	assert.Empty(t, wrap(" ", 5))
}
