package main

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
)

var update = flag.Bool("update", false, "write what the commands print in place of what they should")

// TestJobs takes each job of testdata/job that has a capture the whole way, and
// compares what the commands print with what lies beside it, to the last byte.
func TestJobs(t *testing.T) {
	captures, err := filepath.Glob("../../testdata/job/*/capture.csv")
	require.NoError(t, err)
	require.NotEmpty(t, captures)
	for _, capture := range captures {
		folder := filepath.Dir(capture)
		t.Run(filepath.Base(folder), func(t *testing.T) {
			record := filepath.Join(t.TempDir(), filepath.Base(folder)+jobfile.RecordExtension)
			printed(t, "import", capture, "--job", filepath.Join(folder, jobfile.Document), "-o", record)
			for file, args := range map[string][]string{
				"passes.txt":    {"passes", record},
				"passes.json":   {"passes", record, "--json"},
				"passes-us.txt": {"passes", record, "--us"},
				"findings.txt":  {"findings", record},
				"findings.json": {"findings", record, "--json"},
			} {
				compareGolden(t, filepath.Join(folder, file), printed(t, args...))
			}
		})
	}
}

// printed carries out a command and returns what it prints.
func printed(t *testing.T, args ...string) []byte {
	t.Helper()
	var out, complaints bytes.Buffer
	status := run(t.Context(), args, &out, &complaints)
	require.Contains(t, []int{explain.Done, explain.Open}, status, complaints.String())
	return out.Bytes()
}

// compareGolden leaves what it got beside what it wanted, for whoever looks into it.
func compareGolden(t *testing.T, file string, got []byte) {
	t.Helper()
	if *update {
		require.NoError(t, os.WriteFile(file, got, 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err, "go test ./cmd/arctally -update writes it")
	if !bytes.Equal(want, got) {
		require.NoError(t, os.WriteFile(file+".got", got, 0o644))
		assert.Equal(t, string(want), string(got), "see %s.got", file)
	}
}
