// Package jobtest lays the demo's job out for tests, with some words of it changed.
package jobtest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/cmd/internal/jobfile"
	"arctally/testdata/job/demo"
)

// Lengths of a layer, at the demo's pitch.
const (
	OneTurn    = "length: 3 mm"
	TwoTurns   = "length: 6 mm"
	ThreeTurns = "length: 9 mm"
	FourTurns  = "length: 12 mm"
	TenTurns   = "length: 30 mm"
)

// DemoPattern is how the demo's job file has the layer laid.
const DemoPattern = "pattern: helix"

// Folder writes the demo's job with some words of it changed, and returns
// the job file.
func Folder(t testing.TB, changes ...string) string {
	t.Helper()
	folder := t.TempDir()
	require.NoError(t, os.CopyFS(folder, demo.Files))
	file := filepath.Join(folder, jobfile.Document)
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	for k := 0; k < len(changes); k += 2 {
		require.Contains(t, string(text), changes[k])
		text = []byte(strings.Replace(string(text), changes[k], changes[k+1], 1))
	}
	require.NoError(t, os.WriteFile(file, text, 0o600))
	return file
}

// Short is the demo's job in a short bore.
func Short(t testing.TB, pattern, length string) string {
	text, err := demo.Files.ReadFile(jobfile.Document)
	require.NoError(t, err)
	_, rest, found := strings.Cut(string(text), ", length: ")
	require.True(t, found)
	written, _, found := strings.Cut(rest, ",")
	require.True(t, found)
	return Folder(t, "length: "+written, length, DemoPattern, "pattern: "+pattern)
}
