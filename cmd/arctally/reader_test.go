package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/report/handover"
)

// reader is where a program lies that reads the exports and shares no code with ours.
const reader = "../../report/export/reader"

// otherReader skips a test where that program is not installed; it fails where one
// said that it must be there.
func otherReader(t *testing.T) {
	t.Helper()
	_, err := exec.LookPath("node")
	if err == nil {
		_, err = os.Stat(filepath.Join(reader, "node_modules", "@duckdb", "node-api"))
	}
	switch {
	case err == nil:
	case os.Getenv("CI") != "" || os.Getenv("ARCTALLY_NEED_READER") != "":
		t.Fatalf("the other reader of exports is not installed (make reader): %v", err)
	default:
		t.Skipf("the other reader of exports is not installed (make reader): %v", err)
	}
}

// readRow is what the other program read, by column.
type readRow map[string]any

// ask has the other program answer questions in SQL.
func ask(t *testing.T, questions ...string) (answers [][]readRow) {
	t.Helper()
	command := exec.CommandContext(t.Context(), "node", append([]string{filepath.Join(reader, "read.mjs")}, questions...)...)
	var complaints bytes.Buffer
	command.Stderr = &complaints
	printed, err := command.Output()
	require.NoError(t, err, complaints.String())
	require.NoError(t, json.Unmarshal(printed, &answers))
	return answers
}

// number reads a cell; whole numbers of 64 bits come as text.
func (r readRow) number(t *testing.T, name string) float64 {
	t.Helper()
	require.Contains(t, r, name)
	v, err := strconv.ParseFloat(plainText(r[name]), 64)
	require.NoError(t, err, name)
	return v
}

// plainText makes a cell comparable, whichever type it was read as.
func plainText(cell any) string {
	switch v := cell.(type) {
	case nil:
		return ""
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	case string:
		if number, err := strconv.ParseFloat(v, 64); err == nil {
			return plainText(number)
		}
		return v
	default:
		return fmt.Sprint(v)
	}
}

// flat writes the cells of a row of JSON as its table has them: a field of a field is
// outer_inner.
func (r readRow) flat(prefix string, into map[string]string) map[string]string {
	for name, cell := range r {
		switch v := cell.(type) {
		case map[string]any:
			readRow(v).flat(prefix+name+"_", into)
		case []any:
			into[prefix+name] = "[" + strconv.Itoa(len(v)) + "]"
		default:
			if text := plainText(v); text != "" {
				into[prefix+name] = text
			}
		}
	}
	return into
}

// cells are those of a row of a table; of a list only the length is compared.
func (r readRow) cells(t *testing.T) map[string]string {
	t.Helper()
	into := map[string]string{}
	for name, cell := range r {
		text := plainText(cell)
		if strings.HasPrefix(text, "[") {
			var list []any
			require.NoError(t, json.Unmarshal([]byte(text), &list), name)
			text = "[" + strconv.Itoa(len(list)) + "]"
		}
		if text != "" {
			into[name] = text
		}
	}
	return into
}

// exported is a record in every format.
type exported struct{ folder string }

func (e exported) file(name string) string { return "'" + filepath.Join(e.folder, name) + "'" }

// exportAll exports a record in every format.
func exportAll(t *testing.T, record string) exported {
	t.Helper()
	e := exported{t.TempDir()}
	for _, args := range []string{
		"samples.parquet --format parquet", "samples.csv --format csv", "slow.parquet --format parquet --slow", "slow.csv --slow",
		"passes.parquet --format parquet --table passes", "passes.csv --table passes",
		"findings.parquet --format parquet --table findings", "findings.csv --table findings", "results.json --format json",
	} {
		words := strings.Fields(args)
		words[0] = filepath.Join(e.folder, words[0])
		var complaints bytes.Buffer
		status := run(t.Context(), append([]string{"export", record, "-o"}, words...), io.Discard, &complaints)
		require.Zero(t, status, complaints.String())
	}
	return e
}

// TestOtherReader has another program read what was exported of a capture with an
// arc flag and gaps, and of a recording without a flag.
func TestOtherReader(t *testing.T) {
	if testing.Short() {
		t.Skip("another program reads whole exports")
	}
	otherReader(t)
	for name, test := range map[string]struct{ record, arc string }{
		"flag":    {importKeyway(t), "arc = 1"},
		"no flag": {recordRepair(t, jobtest.Short(t, "helix", "length: 3 mm"), nil).record, "current_a >= 15"}, // thresholds of the procedure's defaults
	} {
		t.Run(name, func(t *testing.T) {
			e := exportAll(t, test.record)
			e.checkSamples(t)
			e.checkEnergy(t, test.arc)
			e.checkTables(t)
		})
	}
}

// checkSamples wants the same numbers from both formats, pass by pass.
func (e exported) checkSamples(t *testing.T) {
	t.Helper()
	of := func(kind string) string {
		return fmt.Sprintf(`select n.number, count(*) as rows, sum(voltage_v) as v, min(voltage_v) as v_low, max(voltage_v) as v_high,
			sum(current_a) as i, min(current_a) as i_low, max(current_a) as i_high, sum("break"::int) as breaks, count(arc) as flags,
			min(epoch_us("time")) as first, max(epoch_us("time")) as last
			from (select * from %s order by epoch, tick_ns) s join %s n
			on s.epoch = n.epoch and s.tick_ns between n.start_tick_ns and n.end_tick_ns group by all order by 1`,
			e.file("samples."+kind), e.file("passes."+kind))
	}
	answers := ask(
		t, "set threads = 1", // sums in one order
		of("parquet"), of("csv"),
		"select count(*) as rows from "+e.file("samples.parquet"), "select count(*) as rows from "+e.file("samples.csv"),
		"select channel, unit, count(*) as rows, sum(value) as sum from "+e.file("slow.parquet")+" group by all order by 1",
		"select channel, unit, count(*) as rows, sum(value) as sum from read_csv("+e.file("slow.csv")+
			", header = true, types = {'channel': 'VARCHAR', 'unit': 'VARCHAR', 'value': 'DOUBLE'}) group by all order by 1",
	)
	require.NotEmpty(t, answers[1])
	for k, typed := range answers[1] {
		for name := range typed {
			want, got := answers[2][k].number(t, name), typed.number(t, name)
			if want != 0 {
				assert.InEpsilon(t, want, got, 1e-12, "pass %d: %s", k+1, name)
			} else {
				assert.Zero(t, got, "pass %d: %s", k+1, name)
			}
		}
	}
	assert.Equal(t, answers[4], answers[3])
	assert.Equal(t, answers[6], answers[5])
}

// checkEnergy sums the trapezoids of the samples anew, and wants the energy and the arc
// time of every pass: no step over a break, none with an end out of the arc, and current
// alone keeps an arc that voltage began.
func (e exported) checkEnergy(t *testing.T, arc string) {
	t.Helper()
	energy := fmt.Sprintf(`with samples as (
			select epoch, tick_ns, "break" as broken, voltage_v as v, voltage_v*current_a as p, %s as live,
			lag(tick_ns) over w as tick_before, lag(p) over w as p_before, coalesce(lag(live) over w, false) as live_before
			from %s window w as (partition by epoch order by tick_ns)),
		runs as (select *, sum((live and (not live_before or broken))::int) over (partition by epoch order by tick_ns) as run from samples),
		arcs as (select *, live and bool_or(live and v >= 8) over (partition by epoch, run order by tick_ns) as lit from runs),
		steps as (select *, lag(lit) over (partition by epoch order by tick_ns) as lit_before from arcs)
		select n.number, n.energy_j, n.arc_time_s, sum((p+p_before)/2*(tick_ns-tick_before)/1e9) as energy, sum((tick_ns-tick_before)/1e9) as arc_time
		from %s n join steps s on s.epoch = n.epoch and s.tick_ns > n.start_tick_ns and s.tick_ns <= n.end_tick_ns
		where lit and lit_before and not broken group by all order by 1`, arc, e.file("samples.parquet"), e.file("passes.parquet"))
	passes := ask(t, energy)[0]
	require.NotEmpty(t, passes)
	for _, p := range passes {
		assert.InEpsilon(t, p.number(t, "energy_j"), p.number(t, "energy"), 1e-9)
		assert.InEpsilon(t, p.number(t, "arc_time_s"), p.number(t, "arc_time"), 1e-9)
	}
}

// checkTables wants the tables of results to say what the JSON says.
func (e exported) checkTables(t *testing.T) {
	t.Helper()
	const (
		passes   = `select * replace (epoch_us("start"::timestamptz) as "start", epoch_us("end"::timestamptz) as "end") from `
		findings = `select * replace (epoch_us("start"::timestamptz) as "start") from `
	)
	for table, all := range map[string]string{"passes": passes, "findings": findings} {
		results := "read_json(" + e.file("results.json") + ", map_inference_threshold = -1, maximum_object_size = 100000000)"
		parquet, csv := e.file(table+".parquet"), "read_csv("+e.file(table+".csv")+", header = true, sample_size = -1)"
		rows := ask(
			t, "select count(*) as rows from "+parquet, "select count(*) as rows from "+csv, "select len("+table+") as rows from "+results,
		)
		require.Equal(t, rows[2], rows[0], "rows of %s", table)
		require.Equal(t, rows[2], rows[1], "rows of %s", table)
		if rows[0][0].number(t, "rows") == 0 {
			continue
		}
		answers := ask(t, all+parquet, all+csv, all+"(select unnest("+table+", max_depth := 2) from "+results+")")
		for k := range answers[0] {
			want := answers[2][k].flat("", map[string]string{})
			require.Contains(t, want, "number")
			assert.Equal(t, want, answers[0][k].cells(t), "%s %d: parquet", table, k+1)
			assert.Equal(t, want, answers[1][k].cells(t), "%s %d: csv", table, k+1)
		}
	}
}

// TestOtherReader_Bundle has another program read what the tables of a bundle are, of the bundle alone: the
// manifest says where units stand, and there each column has its words, and each number its unit.
func TestOtherReader_Bundle(t *testing.T) {
	otherReader(t)
	store := t.TempDir()
	var complaints bytes.Buffer
	require.Zero(t, run(t.Context(), []string{"hand-over", "../../testdata/record/version-4-box.arctally", "-o", store}, io.Discard, &complaints), complaints.String())
	manifests, err := filepath.Glob(filepath.Join(store, "*", handover.ManifestName))
	require.NoError(t, err)
	require.Len(t, manifests, 1)
	text, err := os.ReadFile(manifests[0])
	require.NoError(t, err)
	m, err := handover.ParseManifest(manifests[0], text)
	require.NoError(t, err)
	tables, numbers := 0, 0
	for _, e := range m.Files {
		if !strings.HasSuffix(e.Name, ".parquet") {
			continue
		}
		tables++
		if e.Name != handover.SlowName { // of which the manifest says that it is in the same way
			require.Contains(t, e.About, "its unit stand in the file, under the key columns")
		}
		numbers += checkColumns(t, "'"+filepath.Join(filepath.Dir(manifests[0]), e.Name)+"'")
	}
	require.Equal(t, 3, tables)
	require.Greater(t, numbers, 80)
}

// unitsByEnding are those that the ending of a column's name says, too.
var unitsByEnding = map[string]string{"_kj_per_mm": "kJ/mm", "_deg": "deg", "_ns": "ns", "_v": "V", "_j": "J", "_w": "W", "_speed_mm_min": "mm/min"}

// checkColumns holds what a table says of its columns against those that it has, and counts the numbers among them.
func checkColumns(t *testing.T, file string) (numbers int) {
	t.Helper()
	answers := ask(t, "describe select * from "+file, "select decode(value) as text from parquet_kv_metadata("+file+") where decode(key) = 'columns'")
	require.Len(t, answers[1], 1, file)
	var said []struct{ Name, Unit, Description string }
	require.NoError(t, json.Unmarshal([]byte(answers[1][0]["text"].(string)), &said))
	require.Len(t, said, len(answers[0]), file)
	for k, has := range answers[0] {
		require.Equal(t, has["column_name"], said[k].Name, file)
		assert.NotEmpty(t, said[k].Description, "%s %s", file, said[k].Name)
		switch kind := has["column_type"].(string); kind {
		case "DOUBLE", "BIGINT", "INTEGER", "FLOAT":
			numbers++
			assert.NotEmpty(t, said[k].Unit, "%s %s", file, said[k].Name)
		default:
			assert.Contains(t, []string{"VARCHAR", "BOOLEAN", "TIMESTAMP WITH TIME ZONE", "TIMESTAMP_NS"}, kind, "%s %s: is that a number?", file, said[k].Name)
		}
		for ending, unit := range unitsByEnding {
			if strings.HasSuffix(said[k].Name, ending) {
				assert.Equal(t, unit, said[k].Unit, "%s %s", file, said[k].Name)
			}
		}
	}
	return numbers
}
