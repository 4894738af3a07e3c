package sheet

import (
	"bytes"
	"flag"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files anew")

// render is what a writer of the sheet writes.
func render(t *testing.T, write func(io.Writer) error) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, write(&b))
	return b.String()
}

// golden holds text against a file under testdata.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "run the test with -update to write it")
	require.Equal(t, string(want), got)
}

func TestGolden(t *testing.T) {
	s := New(inventedInput())
	for name, write := range map[string]func(io.Writer) error{
		"passes.json":   s.PassesJSON,
		"findings.json": s.FindingsJSON,
		"sheet.json":    s.JSON,
	} {
		t.Run(name, func(t *testing.T) { golden(t, name, render(t, write)) })
	}
}

func TestTableGolden(t *testing.T) {
	s := New(inventedInput())
	undated := inventedInput()
	undated.WallTime = nil
	u := New(undated)
	for name, write := range map[string]func(io.Writer) error{
		"passes.txt":         func(w io.Writer) error { return s.PassTable(w, Metric) },
		"passes-us.txt":      func(w io.Writer) error { return s.PassTable(w, US) },
		"passes-undated.txt": func(w io.Writer) error { return u.PassTable(w, Metric) },
		"findings.txt":       func(w io.Writer) error { return s.FindingTable(w, Metric) },
		"findings-us.txt":    func(w io.Writer) error { return s.FindingTable(w, US) },
	} {
		t.Run(name, func(t *testing.T) { golden(t, name, render(t, write)) })
	}
}
