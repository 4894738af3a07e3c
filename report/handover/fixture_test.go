package handover

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// digest is the name of the bundle that tests hand over.
var digest = strings.Repeat("0a", digestSize)

func subject() Subject {
	return Subject{
		Digest: digest, Record: strings.Repeat("1b", digestSize), Commits: 7, Job: "Loader 4, lower boom pin <bore>", Procedure: "DEMO-07 rev 2",
		Closed: time.Date(2026, 5, 4, 8, 13, 25, 123_000_000, time.UTC),
	}
}

// text is a file that is written when it is its turn.
func text(name, content string) File {
	return File{Name: name, Format: "text/plain", About: "a test", Write: func(w io.Writer) error {
		_, err := io.WriteString(w, content)
		return err
	}}
}

// bundleFiles are those of a small bundle, the record as a file of the disk.
func bundleFiles(t *testing.T) []File {
	t.Helper()
	record := filepath.Join(t.TempDir(), "boom.arctally")
	require.NoError(t, os.WriteFile(record, []byte("a record"), 0o600))
	return []File{
		{Name: RecordName, Format: "application/vnd.sqlite3", About: "the record", Path: record},
		text("weld-record.pdf", "a paper"), text(ResultsName, "{}"), text("photographs/"+digest+".png", "a photograph"),
	}
}

// give hands the small bundle over.
func give(t *testing.T, s Store, files []File) (Given, error) {
	t.Helper()
	return Give(context.Background(), s, t.TempDir(), subject(), files, func(string) {})
}

// place a file of a folder store has other content, or another one.
func put(t *testing.T, s folder, name, content string) {
	t.Helper()
	file := filepath.Join(string(s), digest, filepath.FromSlash(name))
	require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o700))
	require.NoError(t, os.WriteFile(file, []byte(content), 0o600))
}

func get(t *testing.T, s folder, name string) string {
	t.Helper()
	content, err := os.ReadFile(filepath.Join(string(s), digest, filepath.FromSlash(name)))
	require.NoError(t, err)
	return string(content)
}

// requireKind wants an error of a kind that says something and gives a hint.
func requireKind(t *testing.T, want Kind, err error, says ...string) {
	t.Helper()
	var own *Error
	require.ErrorAs(t, err, &own)
	require.Equal(t, want, own.Kind, err.Error())
	require.NotEmpty(t, own.Hint())
	for _, text := range says {
		require.ErrorContains(t, err, text)
	}
}
