package text

import (
	"io"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"

	"arctally/analyze"
	"arctally/analyze/compare"
	"arctally/analyze/pass"
	"arctally/analyze/plan"
	"arctally/analyze/procedure"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestTableGolden(t *testing.T) {
	s := sheet.New(sheettest.Input())
	undated := sheettest.Input()
	undated.WallTime = nil
	u := sheet.New(undated)
	for name, write := range map[string]func(io.Writer) error{
		"passes.txt":         func(w io.Writer) error { return Passes(w, s, sheet.Metric) },
		"passes-us.txt":      func(w io.Writer) error { return Passes(w, s, sheet.US) },
		"passes-undated.txt": func(w io.Writer) error { return Passes(w, u, sheet.Metric) },
		"findings.txt":       func(w io.Writer) error { return Findings(w, s, sheet.Metric) },
		"findings-us.txt":    func(w io.Writer) error { return Findings(w, s, sheet.US) },
	} {
		t.Run(name, func(t *testing.T) { sheettest.Golden(t, name, sheettest.Render(t, write)) })
	}
}

func TestFindingTable_ShowsTheState(t *testing.T) {
	table := sheettest.Render(t, func(w io.Writer) error { return Findings(w, sheet.New(sheettest.Decided()), sheet.Metric) })
	assert.Contains(t, table, "accepted")
	assert.Contains(t, table, "to repair")
	assert.Contains(t, table, "6 findings are open; 1 of 7 have a disposition that closes them.")
}

func TestNoNumberIsNoNumberInTheTable(t *testing.T) {
	in := sheettest.Input()
	in.Result.Passes = []pass.Pass{sheettest.NoNumberPass()}
	assert.NotContains(t, sheettest.Render(t, func(w io.Writer) error { return Passes(w, sheet.New(in), sheet.Metric) }), "NaN")
}

func TestTablesFitTheTerminal(t *testing.T) {
	in := sheettest.Input()
	for _, dated := range []bool{true, false} {
		if !dated {
			in.WallTime = nil
		}
		for _, u := range []sheet.Units{sheet.Metric, sheet.US} {
			s := sheet.New(in)
			tables := sheettest.Render(t, func(w io.Writer) error { return Passes(w, s, u) }) + sheettest.Render(t, func(w io.Writer) error { return Findings(w, s, u) })
			for line := range strings.Lines(tables) {
				assert.LessOrEqual(t, utf8.RuneCountInString(line)-1, 140, line)
			}
		}
	}
}

func TestManyWarningsLeaveTheTableInSight(t *testing.T) {
	in := sheettest.Input()
	in.Result.Warnings = make([]analyze.Warning, 300)
	text := sheettest.Render(t, func(w io.Writer) error { return Passes(w, sheet.New(in), sheet.Metric) })
	assert.Equal(t, warningsShown+1, strings.Count(text, "warning: "))
	assert.Contains(t, text, "280 more")
	assert.Len(t, sheet.New(in).PassList().Warnings, 300)
}

func TestErrorsOfTheWriterComeBack(t *testing.T) {
	s, list := sheet.New(sheettest.Decided()), sheet.CheckList{Checks: sheettest.Checks()}
	planned := sheet.NewPlan(&procedure.Job{}, &plan.Plan{})
	for what, write := range map[string]func(io.Writer) error{
		"pass table":    func(w io.Writer) error { return Passes(w, s, sheet.Metric) },
		"findings":      func(w io.Writer) error { return Findings(w, s, sheet.Metric) },
		"entries":       func(w io.Writer) error { return Entries(w, s, sheet.Metric) },
		"proof":         func(w io.Writer) error { return Proof(w, s, sheet.Metric, sheet.Linear) },
		"unrolled map":  func(w io.Writer) error { return Map(w, s, sheet.StockLayer, sheet.Metric, 0) },
		"comparison":    func(w io.Writer) error { return Comparison(w, s, sheet.Metric, sheettest.Comparison(compare.Turns)) },
		"set-up checks": func(w io.Writer) error { return Checks(w, list, sheet.Metric, time.Time{}) },
		"set-up check":  func(w io.Writer) error { return Check(w, 1, list.Checks[0], sheet.Metric, time.Time{}) },
		"plan":          func(w io.Writer) error { return Plan(w, planned, sheet.US) },
	} {
		sheettest.FailsWithTheWriter(t, "write "+what, write)
	}
}
