package sheettest

import (
	"bytes"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files anew")

// Render is what a writer of the sheet writes.
func Render(t *testing.T, write func(io.Writer) error) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, write(&b))
	return b.String()
}

// Golden holds text against a file under testdata.
func Golden(t *testing.T, name, got string) {
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

// Full is a writer that takes so many bytes and then no more: it answers ErrFull.
type Full struct{ Left int }

// ErrFull is the error of a Full.
var ErrFull = errors.New("no room left")

// Write implements io.Writer.
func (f *Full) Write(p []byte) (int, error) {
	if len(p) > f.Left {
		n := f.Left
		f.Left = 0
		return n, ErrFull
	}
	f.Left -= len(p)
	return len(p), nil
}

// FailsWithTheWriter holds that a writer's error comes back, wherever it strikes,
// and says what was written.
func FailsWithTheWriter(t *testing.T, what string, write func(io.Writer) error) {
	t.Helper()
	var whole bytes.Buffer
	require.NoError(t, write(&whole))
	for _, room := range []int{0, whole.Len() / 2, whole.Len() - 1} {
		err := write(&Full{room})
		assert.ErrorIs(t, err, ErrFull, "%s with room for %d", what, room)
		assert.ErrorContains(t, err, what+": ")
	}
}
