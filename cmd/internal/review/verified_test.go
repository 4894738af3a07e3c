package review

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/analyze/inspect"
	"arctally/cmd/internal/shelf"
	"arctally/report/sheet"
)

// verifying is a record, a shelf, and who verifies.
type verifying struct {
	*testing.T
	file, folder, program string
	after                 time.Duration // from now on to when the record is opened
}

func newVerifying(t *testing.T) *verifying {
	v := &verifying{T: t, file: filepath.Join(t.TempDir(), "r.arctally"), folder: filepath.Join(t.TempDir(), "results"), program: "p", after: time.Minute}
	v.lay(v.file)
	return v
}

// lay puts the record there.
func (v *verifying) lay(file string) {
	content, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", "record", "version-2-box.arctally"))
	require.NoError(v, err)
	require.NoError(v, os.WriteFile(file, content, 0o600))
}

func (v *verifying) ctx() context.Context {
	return shelf.New(v.folder, v.program, shelf.Limit).With(v.Context())
}

// whole verifies a file, and tells whether all of it was read for that.
func (v *verifying) whole(file string, meanwhile ...func()) (read bool, err error) {
	v.Helper()
	reader, err := record.Open(file)
	require.NoError(v, err)
	for _, do := range meanwhile {
		do()
	}
	since, err := wholeSince(v.ctx(), reader, file, time.Now().Add(v.after))
	require.NoError(v, reader.Close())
	return since.IsZero(), err
}

// reads wants a file read through, and found whole.
func (v *verifying) reads(why string, meanwhile ...func()) {
	v.Helper()
	read, err := v.whole(v.file, meanwhile...)
	var wrong *record.Error
	if !errors.As(err, &wrong) || wrong.Kind != record.Changed {
		require.NoError(v, err, why)
	}
	require.True(v, read, why)
}

// knows wants a file known to be whole.
func (v *verifying) knows(why string) {
	v.Helper()
	read, err := v.whole(v.file)
	require.NoError(v, err, why)
	require.False(v, read, why)
}

// alter changes one sample, and nothing else.
func (v *verifying) alter(file string) {
	db := must(sql.Open("sqlite", file))
	_, err := db.Exec("PRAGMA journal_mode = DELETE; UPDATE chunks SET payload = zeroblob(length(payload)) WHERE id = (SELECT max(id) FROM chunks)")
	require.NoError(v, errors.Join(err, db.Close()))
}

func (v *verifying) refuses(why string) {
	v.Helper()
	for range 2 {
		read, err := v.whole(v.file)
		require.True(v, read, why)
		found, err := IntegrityOf(err)
		require.NoError(v, err, why)
		require.NotEmpty(v, found.Damage, why)
	}
}

// What was found whole is not read through again, and the sheet says since when that is so.
func TestWhole_isKept(t *testing.T) {
	v := newVerifying(t)
	begun := time.Now()
	v.reads("nobody has")
	v.knows("nobody has touched it")
	r, err := OpenUnjudged(v.file)
	require.NoError(t, err)
	r.opened = time.Now().Add(v.after)
	require.NoError(t, r.Verify(v.ctx()))
	assert.WithinRange(t, r.integrity.Since, begun, time.Now())
	words := ""
	for _, truth := range r.Sheet().Banner(sheet.Metric) {
		if truth.Kind == sheet.OfRecord {
			words = truth.Words
		}
	}
	require.NoError(t, r.Close())
	assert.Contains(t, words, "The record is verified: all of it was read on 20")
}

// Whoever touches the file has all of it read again.
func TestWhole_anyTouchReads(t *testing.T) {
	for name, touch := range map[string]func(v *verifying){
		"written again":                 func(v *verifying) { v.lay(v.file) },
		"when it was written, set back": func(v *verifying) { require.NoError(v, os.Chtimes(v.file, time.Time{}, time.Unix(1, 0))) },
		"restored from a copy": func(v *verifying) {
			copied := filepath.Join(v.TempDir(), "copy")
			v.lay(copied)
			require.NoError(v, os.Rename(copied, v.file))
		},
		"moved away and back": func(v *verifying) {
			require.NoError(v, os.Rename(v.file, v.file+"2"))
			require.NoError(v, os.Rename(v.file+"2", v.file))
		},
		"an entry": func(v *verifying) {
			_, err := AmendEntries(v.ctx(), v.file, nil, []inspect.Entry{{By: "x", At: time.Now(), Machining: &inspect.Machining{CleanedUp: inspect.NotSaid, Remark: "r"}}}, nil)
			require.NoError(v, err)
		},
		"another program":        func(v *verifying) { v.program = "q" },
		"what was kept, deleted": func(v *verifying) { require.NoError(v, os.RemoveAll(v.folder)) },
		"what was kept, cut": func(v *verifying) {
			for _, file := range must(filepath.Glob(filepath.Join(v.folder, "*"))) {
				require.NoError(v, os.Truncate(file, 70))
			}
		},
	} {
		v := newVerifying(t)
		v.reads(name)
		v.knows(name)
		touch(v)
		v.reads(name)
		v.knows(name)
	}
}

// A sample that was altered is found, whatever was done for it not to be.
func TestWhole_findsWhatWasAltered(t *testing.T) {
	v := newVerifying(t)
	v.reads("at first")
	was := must(os.Stat(v.file))
	v.alter(v.file)
	require.NoError(t, os.Truncate(v.file, was.Size()))
	require.NoError(t, os.Chtimes(v.file, was.ModTime(), was.ModTime()))
	is := must(os.Stat(v.file))
	require.Equal(t, was.ModTime(), is.ModTime())
	require.Equal(t, was.Size(), is.Size())
	v.refuses("altered in place, its time set back")

	v = newVerifying(t)
	v.reads("at first")
	copied := filepath.Join(t.TempDir(), "copy.arctally")
	v.lay(copied)
	v.alter(copied)
	require.NoError(t, os.Chtimes(copied, was.ModTime(), was.ModTime()))
	require.NoError(t, os.Rename(copied, v.file))
	v.refuses("exchanged for a copy")
}

// What could have been changed unseen is read through each time.
func TestWhole_keepsNothingUnsettled(t *testing.T) {
	v := newVerifying(t)
	v.after = 0
	v.reads("just written")
	v.reads("just written")
	v.after = -time.Hour
	v.reads("the clock was set back")
	v.after = time.Minute
	other := filepath.Join(t.TempDir(), "other.arctally")
	v.lay(other)
	v.reads("exchanged after it was opened", func() { require.NoError(t, os.Rename(other, v.file)) })
	v.reads("and what was read then is not what is there now")
	v.knows("now it is")
	require.NoError(t, os.WriteFile(v.file+"-wal", []byte("commits may wait here"), 0o600))
	v.reads("a log left over")
	require.NoError(t, os.WriteFile(v.file+"-wal", nil, 0o600))
	v.knows("an empty one")
	require.NoError(t, os.RemoveAll(v.folder))
	v.reads("touched after it was opened", func() { require.NoError(t, os.Chtimes(v.file, time.Time{}, time.Unix(5, 0))) })
	assert.NoDirExists(t, v.folder)
}

// A copy is another file, and who never opened a record knows nothing of it.
func TestWhole_eachFileForItself(t *testing.T) {
	v := newVerifying(t)
	v.reads("at first")
	first := v.file
	v.file = filepath.Join(t.TempDir(), "copy.arctally")
	v.lay(v.file)
	v.reads("a copy")
	v.knows("a copy")
	v.file = first
	v.knows("and that one as well")
	since, err := wholeSince(v.ctx(), must(record.Open(v.file)), v.file, time.Time{})
	require.NoError(t, err)
	assert.True(t, since.IsZero(), "nobody says when it was opened")
	_, err = Whole(v.ctx(), filepath.Join(t.TempDir(), "missing"))
	require.Error(t, err)
}
