package workshop

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
)

// emptyRecord is a finished record of a job, without a sample.
func emptyRecord(t *testing.T, name string) string {
	t.Helper()
	job, err := jobfile.Read(jobtest.Folder(t))
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), name)
	w, err := record.Create(file, record.Meta{Documents: job.Documents})
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return file
}

// A reader waits for the next look at its record, as long as the record is the one that it
// read.
func TestReaders_WaitForTheNextLook(t *testing.T) {
	p := newReaders()
	defer p.close()
	first, second := emptyRecord(t, "a"), emptyRecord(t, "b")
	a, err := p.take(first)
	require.NoError(t, err)
	other, err := p.take(first)
	require.NoError(t, err)
	require.NotSame(t, a, other, "two requests at once")
	require.NoError(t, p.give(other))
	b, err := p.take(second)
	require.NoError(t, err)
	require.NotSame(t, b, other)
	require.NoError(t, p.give(a))
	require.NoError(t, p.give(b))
	again, err := p.take(first)
	require.NoError(t, err)
	require.Same(t, a, again)
	require.NoError(t, p.give(again))

	w, err := record.Amend(first)
	require.NoError(t, err)
	_, err = w.Entries([]record.Entry{{Kind: "machining", By: "Inspector 1", At: time.Unix(1, 0), Text: "{}"}})
	require.NoError(t, err)
	require.NoError(t, w.Sync())
	while, err := p.take(first)
	require.NoError(t, err)
	require.NotSame(t, a, while)
	require.NotSame(t, other, while)
	entries, err := while.Reader.Entries()
	require.NoError(t, err)
	assert.Len(t, entries, 1, "as it is now, while it is written")
	require.NoError(t, p.give(while))
	require.Len(t, p.idle, 1, "one that is written has its files for itself")
	require.NoError(t, w.Close())

	require.NoError(t, os.Rename(first, second))
	moved, err := p.take(second)
	require.NoError(t, err)
	require.NotSame(t, b, moved, "another file of that name")
	require.NoError(t, p.give(moved))
}

func TestReaders_AreFew(t *testing.T) {
	p := newReaders()
	for range mostIdle + 2 {
		r, err := p.take(emptyRecord(t, "a"))
		require.NoError(t, err)
		require.NoError(t, p.give(r))
	}
	require.Len(t, p.idle, mostIdle)
	p.rest()
	require.Empty(t, p.idle)
	file := emptyRecord(t, "a")
	r, err := p.take(file)
	require.NoError(t, err)
	p.close()
	require.NoError(t, p.give(r))
	require.Empty(t, p.idle)
}
