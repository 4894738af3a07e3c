package files

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestWrite: a failure leaves the former file whole, and nothing beside it.
func TestWrite(t *testing.T) {
	folder := t.TempDir()
	file := filepath.Join(folder, "a.txt")
	say := func(text string, failure error) func(io.Writer) error {
		return func(w io.Writer) error {
			_, err := io.WriteString(w, text)
			return errors.Join(err, failure)
		}
	}
	require.NoError(t, Write(file, say("first", nil)))
	broken := errors.New("broken")
	require.ErrorIs(t, Write(file, say("second", broken)), broken)
	holds(t, file, "first")
	require.NoError(t, Write(file, say("third", nil)))
	holds(t, file, "third")
	info, err := os.Stat(file)
	require.NoError(t, err)
	assert.EqualValues(t, 0o644, info.Mode().Perm(), "others may read it")
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, entries, 1)
	require.ErrorIs(t, Write(filepath.Join(folder, "nowhere", "a.txt"), say("", nil)), os.ErrNotExist)
}

func holds(t *testing.T, file, want string) {
	t.Helper()
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, want, string(text))
}

func TestStem(t *testing.T) {
	for name, want := range map[string]string{"a/b/run7.csv": "run7", "run7": "run7", "a.b/c.tar.gz": "c.tar"} {
		assert.Equal(t, want, Stem(name))
	}
}
