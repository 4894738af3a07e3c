package export

import (
	"bytes"
	"io"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/sheet"
)

// byColumn is one row of a table under the names of its head.
func byColumn(rows [][]string, k int) map[string]string {
	row := map[string]string{}
	for c, name := range rows[0] {
		row[name] = rows[1+k][c]
	}
	return row
}

func TestTableCSV(t *testing.T) {
	s := inventedSheet(inventedClock)
	rows := csvRows(t, written(t, func(b *bytes.Buffer) error { return TableCSV(b, Passes, s) }))
	require.Len(t, rows, 1+2)
	full, empty := byColumn(rows, 0), byColumn(rows, 1)
	for name, want := range map[string]string{
		"number": "1", "layer": "1", "pattern": "helix", "start": "2026-03-02T08:15:00.123456Z", "start_tick_ns": "123456789",
		"energy_j": "6378.75", "wire_m": "0.25", "deposit_g": "", "heat_input_kj_per_mm": "0.315",
		"verdict": "within, closer than the guard band", "findings": "0", "ended_by": "", "waveform_shorts": "",
	} {
		assert.Equal(t, want, full[name], name)
	}
	for name, want := range map[string]string{"number": "2", "layer": "", "pattern": "", "power_basis": "", "energy_j": "", "course_extra_stroke": ""} {
		assert.Equal(t, want, empty[name], name)
	}
	found := byColumn(csvRows(t, written(t, func(b *bytes.Buffer) error { return TableCSV(b, Findings, s) })), 0)
	assert.Equal(t, `voltage "15.8 V", below`, found["sentence"])
	assert.Equal(t, "-0.75", found["beyond"])
	assert.Equal(t, "V", found["unit"])
}

func TestTablesAreTheSame(t *testing.T) {
	for _, table := range []Table{Passes, Findings} {
		for name, s := range map[string]*sheet.Sheet{"dated": inventedSheet(inventedClock), "undated": inventedSheet(nil), "decided": decidedSheet(t)} {
			t.Run(string(table)+" "+name, func(t *testing.T) {
				want := csvRows(t, written(t, func(b *bytes.Buffer) error { return TableCSV(b, table, s) }))
				file := opened(t, written(t, func(b *bytes.Buffer) error { return TableParquet(b, table, Job{Sheet: s}) }))
				assert.Equal(t, want, asText(t, file, strconv.FormatBool))
			})
		}
	}
}

// TestTableColumnsAreDescribed takes every column of the results from the schema.
func TestTableColumnsAreDescribed(t *testing.T) {
	for _, name := range []Table{Passes, Findings} {
		table, err := tableOf(name, inventedSheet(nil))
		require.NoError(t, err)
		assert.NotEmpty(t, table.columns)
		for _, c := range table.columns {
			assert.NotEmpty(t, c.Text, "%s: schema.json does not describe %s", name, c.Name)
		}
	}
}

func TestTableThatIsNotThere(t *testing.T) {
	require.ErrorContains(t, TableCSV(io.Discard, "layers", inventedSheet(nil)), `no table "layers"`)
	require.ErrorContains(t, TableParquet(io.Discard, "layers", Job{Sheet: inventedSheet(nil)}), "there are passes and findings")
}
