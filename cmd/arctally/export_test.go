package main

import (
	"bytes"
	"io"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity/quantitytest"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/review"
	"arctally/report/export"
	"arctally/report/export/schematest"
)

// importKeyway makes a record of a capture that has an arc flag, gaps and a finding.
func importKeyway(t *testing.T) (record string) {
	t.Helper()
	record = filepath.Join(t.TempDir(), "keyway.arctally")
	job := filepath.Join(keyway, "job.yaml")
	status := run(t.Context(), []string{"import", filepath.Join(keyway, "capture.csv"), "--job", job, "-o", record}, io.Discard, io.Discard)
	require.Equal(t, explain.Open, status)
	return record
}

// TestExportKeepsItsSchema holds real records against the schema: one with all that
// people can put into it, and one whose source tells shorts from arc.
func TestExportKeepsItsSchema(t *testing.T) {
	if testing.Short() {
		t.Skip("it imports a whole job")
	}
	typed := importKeyway(t)
	for _, args := range [][]string{
		{"note", typed, "--temperature", "180degC", "--by", "Operator 1"},
		{
			"check", filepath.Join(keyway, "job.yaml"), "--record", typed, "meter", "channel=voltage", "reading=10.1V,20.2V,30.3V",
			"reference=10.0V,20.0V,30.0V", "reference-uncertainty=0.02V", "instrument=meter 3", "by=Operator 1",
		},
		{"inspect", typed, "finding=1", "method=visual", "result=no indication", "decision=accept", "by=Inspector 1"},
		{"inspect", typed, "machining", "station=1mm,0deg,90.02mm", "instrument=bore gauge 2", "cleaned-up=all round", "by=Inspector 1"},
	} {
		var complaints bytes.Buffer
		require.Zero(t, run(t.Context(), args, io.Discard, &complaints), complaints.String())
	}
	sampled := recordRepair(t, jobtest.Short(t, "helix", jobtest.OneTurn), nil).record
	for record, parts := range map[string][]string{
		typed:   {`"typed_in": [`, `"checks": [`, `"disposition": {`, `"machining": [`},
		sampled: {`"shorts_over_1ms": `, `"channels": [`},
	} {
		var printed, complaints bytes.Buffer
		require.Zero(t, run(t.Context(), []string{"export", record, "--format", "json"}, &printed, &complaints), complaints.String())
		assert.NoError(t, schematest.Validate(export.Schema(), printed.Bytes()))
		for _, part := range parts {
			assert.Contains(t, printed.String(), part)
		}
	}
}

// countWriter counts what it is given.
type countWriter struct{ bytes int64 }

// Write implements io.Writer.
func (c *countWriter) Write(p []byte) (int, error) {
	c.bytes += int64(len(p))
	return len(p), nil
}

// BenchmarkExportRecord exports the record of a laid job as CSV and as Parquet: rows a
// second of one core, both against each other in the same run, and bytes for each
// value of voltage or current.
func BenchmarkExportRecord(b *testing.B) {
	p := benchPlan(b)
	file := filepath.Join(b.TempDir(), "bench.arctally")
	rows := recordAndJudge(b, p, bytes.NewReader(benchBytes(b, p, shortLayer)), file)
	r, err := review.Judge(b.Context(), file, "", func(float64) {})
	if err != nil {
		b.Fatal(err)
	}
	defer func() { _ = r.Close() }()
	took := map[string]time.Duration{}
	size := map[string]int64{}
	for b.Loop() {
		for _, format := range []string{review.FormatCSV, review.FormatParquet} {
			begun := quantitytest.ProcessorTime(b)
			out := new(countWriter)
			if err := r.Export(b.Context(), out, review.Form{Format: format, Table: review.TableSamples}, func(float64) {}); err != nil {
				b.Fatal(err)
			}
			took[format] += quantitytest.ProcessorTime(b) - begun
			size[format] = out.bytes
		}
	}
	all := float64(rows) * float64(b.N)
	for _, format := range []string{review.FormatCSV, review.FormatParquet} {
		b.ReportMetric(all/took[format].Seconds()/1e6, format+"-Mrows/s")
		b.ReportMetric(float64(size[format])/float64(2*rows), format+"-bytes/value")
	}
	b.ReportMetric(took[review.FormatCSV].Seconds()/took[review.FormatParquet].Seconds(), "parquet/csv-speed")
}
