// Package quantitytest knows how the check values in testdata/standards are
// written, so that every room tests its formulas against the same tables.
//
// A table is a TSV file with a heading and one id a row:
//
//	id  formula  inputs  expected  tolerance  source  standing
//
// The formula is room.Function. Inputs and expected are "name=figure" lists,
// parted by "; ", with their units. The tolerance is a number in the unit of the
// expected figure, a share of it in %, or the word exact. The standing is read,
// secondary, memory or constructed: how the figure was seen, not how good it is.
//
// Errors: a table that cannot be read fails the test that asked for it.
package quantitytest

import (
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

// exact is the relative tolerance of a figure that is an exact number: what a
// few roundings of a float64 may take away.
const exact = 1e-12

// Row is one check value.
type Row struct {
	ID, Formula      string
	Inputs, Expected map[string]string
	Tolerance        string
	Source, Standing string
}

// Check runs the checks of a room over its rows in the tables, each row as a
// subtest under its id. A row whose formula has no check fails, and so does a
// check without a row.
func Check(t *testing.T, room string, checks map[string]func(*testing.T, Row), tables ...string) {
	t.Helper()
	used := map[string]bool{}
	for _, table := range tables {
		for _, row := range Rows(t, table) {
			name, ours := strings.CutPrefix(row.Formula, room+".")
			if !ours {
				continue
			}
			used[name] = true
			t.Run(row.ID, func(t *testing.T) {
				require.Contains(t, checks, name, "no check for the formula of the row")
				checks[name](t, row)
			})
		}
	}
	for name := range checks {
		assert.True(t, used[name], "no row checks %s.%s", room, name)
	}
}

// Rows reads a table from testdata/standards.
func Rows(t *testing.T, table string) []Row {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(repository(t), "testdata", "standards", table))
	require.NoError(t, err)
	lines := strings.Split(strings.TrimRight(string(text), "\n"), "\n")
	require.Equal(t, "id\tformula\tinputs\texpected\ttolerance\tsource\tstanding", lines[0])
	rows := make([]Row, 0, len(lines)-1)
	ids := map[string]bool{}
	for _, line := range lines[1:] {
		row := parseRow(t, line)
		require.False(t, ids[row.ID], "%s: id %s stands twice", table, row.ID)
		ids[row.ID] = true
		rows = append(rows, row)
	}
	return rows
}

func parseRow(t *testing.T, line string) Row {
	t.Helper()
	fields := strings.Split(line, "\t")
	require.Len(t, fields, 7, "%s", line)
	for _, field := range fields {
		require.NotEmpty(t, strings.TrimSpace(field), "%s", line)
	}
	require.Contains(t, []string{"read", "secondary", "memory", "constructed"}, fields[6], "%s", line)
	return Row{
		ID: fields[0], Formula: fields[1], Inputs: figures(t, fields[2]), Expected: figures(t, fields[3]),
		Tolerance: fields[4], Source: fields[5], Standing: fields[6],
	}
}

func figures(t *testing.T, list string) map[string]string {
	t.Helper()
	all := map[string]string{}
	for part := range strings.SplitSeq(list, "; ") {
		name, figure, ok := strings.Cut(part, "=")
		require.True(t, ok, "%q is not name=figure", part)
		all[name] = figure
	}
	return all
}

// Input returns an input of a row.
func Input[Q quantity.Quantity](t *testing.T, row Row, name string) Q {
	t.Helper()
	require.Contains(t, row.Inputs, name, row.ID)
	q, err := quantity.Parse[Q](row.Inputs[name])
	require.NoError(t, err)
	return q
}

// Want compares a result with an expected figure of the row, in its unit and
// within its tolerance.
func Want[Q quantity.Quantity](t *testing.T, row Row, name string, got Q) {
	t.Helper()
	require.Contains(t, row.Expected, name, row.ID)
	digits, unit, _ := strings.Cut(row.Expected[name], " ")
	want, err := strconv.ParseFloat(digits, 64)
	require.NoError(t, err)
	assert.InDelta(t, want, quantity.In(got, unit), tolerance(t, row, want), "%s %s in %s", row.ID, name, unit)
}

// tolerance returns the tolerance of a row in the unit of the figure.
func tolerance(t *testing.T, row Row, want float64) float64 {
	t.Helper()
	if row.Tolerance == "exact" {
		return exact * math.Abs(want)
	}
	digits, relative := strings.CutSuffix(row.Tolerance, " %")
	value, err := strconv.ParseFloat(digits, 64)
	require.NoError(t, err)
	if relative {
		return value / 100 * math.Abs(want)
	}
	return value
}

// repository returns the folder of go.mod above the test.
func repository(t *testing.T) string {
	t.Helper()
	folder, err := os.Getwd()
	require.NoError(t, err)
	for {
		if _, err := os.Stat(filepath.Join(folder, "go.mod")); err == nil {
			return folder
		}
		above := filepath.Dir(folder)
		require.NotEqual(t, folder, above, "no go.mod above the test")
		folder = above
	}
}
