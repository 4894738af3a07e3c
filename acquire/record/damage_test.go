package record

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/clock"
	"arctally/acquire/record/codec"
	"arctally/acquire/series"
)

// smallRecord makes a closed record with something in every table of version 1.
func smallRecord(t *testing.T) string { return onceMade(t, &small, makeSmallRecord) }

// madeRecord is the file of a record that many tests begin with.
type madeRecord struct {
	once sync.Once
	file []byte
}

var small, peopled madeRecord

// onceMade returns a copy of a record that is made only once.
func onceMade(t *testing.T, made *madeRecord, make func(t *testing.T, path string)) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "job.arc")
	made.once.Do(func() {
		make(t, path)
		file, err := os.ReadFile(path)
		require.NoError(t, err)
		made.file = file
	})
	require.NotEmpty(t, made.file, "the test that made it failed")
	require.NoError(t, os.WriteFile(path, made.file, 0o600))
	return path
}

func makeSmallRecord(t *testing.T, path string) {
	t.Helper()
	w, err := create(path, Meta{Job: "j", Procedure: "p", Documents: map[string]string{"job.yaml": "job: j\n"}}, whenAsked())
	require.NoError(t, err)
	require.NoError(t, w.Source(box()))
	require.NoError(t, w.Calibration(calib.Calibration{Channel: "voltage", Gain: 1}, 0, 0))
	v, i := dippingArc(5000, 1, 1)
	for k := 0; k < 5000; k += 500 {
		require.NoError(t, w.Block(&series.Block{Kind: series.Arc, Tick: int64(k) * 100_000, Step: 100_000, V: v[k : k+500], I: i[k : k+500]}))
		require.NoError(t, w.Block(&series.Block{Kind: series.Slow, Tick: int64(k) * 100_000, Channel: []uint8{2, 3}, Value: []float64{0.1, float64(k)}}))
		require.NoError(t, w.Block(&series.Block{Kind: series.Turn, Tick: int64(k) * 100_000, Count: []int64{int64(k)}}))
		require.NoError(t, w.Event(series.Event{Kind: series.Gap, Tick: int64(k), Until: int64(k + 1)}))
		require.NoError(t, w.Clock(clock.Fit{Tick: int64(k), Slope: 1}))
		require.NoError(t, w.Sync())
	}
	require.NoError(t, w.Close())
}

func TestVerify_FindsEveryChange(t *testing.T) {
	original, err := os.ReadFile(smallRecord(t))
	require.NoError(t, err)
	for name, change := range map[string]string{
		"payload byte":         "UPDATE chunks SET payload = substr(payload, 1, 20) || x'5a' || substr(payload, 22) WHERE id = (SELECT id FROM chunks WHERE kind = 'arc' LIMIT 1)",
		"tick":                 "UPDATE chunks SET tick = tick + 1 WHERE id = (SELECT max(id) FROM chunks)",
		"break":                "UPDATE chunks SET \"break\" = 1 WHERE id = (SELECT max(id) FROM chunks)",
		"event deleted":        "DELETE FROM events WHERE id = (SELECT id FROM events LIMIT 1 OFFSET 4)",
		"last event deleted":   "DELETE FROM events WHERE id = (SELECT max(id) FROM events)",
		"event moved":          "UPDATE events SET id = id + 1000000 - 999999 WHERE id = (SELECT max(id) FROM events)",
		"event added":          "INSERT INTO events (id, kind, epoch, tick, until, \"count\", text) SELECT max(id) + 1, 'remark', 0, 0, 0, 0, '' FROM events",
		"event added later":    "INSERT INTO events (id, kind, epoch, tick, until, \"count\", text) VALUES (99000001, 'remark', 0, 0, 0, 0, '')",
		"event before all":     "INSERT INTO events (id, kind, epoch, tick, until, \"count\", text) VALUES (-5, 'remark', 0, 0, 0, 0, '')",
		"document":             "UPDATE documents SET text = 'job: k' || char(10)",
		"meta":                 "UPDATE meta SET value = 'other' WHERE key = 'job'",
		"about":                "UPDATE about SET text = text || '.' WHERE topic = 'ticks'",
		"source":               "UPDATE sources SET description = replace(description, '0.01', '0.02')",
		"scale":                "UPDATE channels SET scale = scale * 2 WHERE channel = 0",
		"calibration":          "UPDATE calibrations SET gain = 1.0001",
		"clock":                "UPDATE clock SET wall = 5 WHERE id = (SELECT max(id) FROM clock)",
		"commit time":          "UPDATE commits SET wall = wall + 1 WHERE number = 3",
		"commit deleted":       "DELETE FROM commits WHERE number = 4",
		"hash":                 "UPDATE commits SET hash = zeroblob(32) WHERE number = 5",
		"hash of another type": "UPDATE commits SET hash = 7 WHERE number = 5",
		"type":                 "UPDATE events SET \"count\" = 'x' WHERE id = (SELECT max(id) FROM events)",
		"group cut from the middle": "DELETE FROM commits WHERE number = 5; DELETE FROM chunks WHERE id / 1000000 = 5; DELETE FROM digests WHERE id / 1000000 = 5;" +
			"DELETE FROM events WHERE id / 1000000 = 5; DELETE FROM clock WHERE id / 1000000 = 5",
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "copy.arc")
			require.NoError(t, os.WriteFile(path, original, 0o600))
			require.NoError(t, Verify(path))
			alter(t, path, change)
			requireKind(t, Altered, Verify(path))
		})
	}
}

// alter runs SQL on a record as somebody with a database tool would.
func alter(t *testing.T, path, statements string) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	result, err := db.Exec(statements)
	require.NoError(t, err)
	n, err := result.RowsAffected()
	require.NoError(t, err)
	require.Positive(t, n)
	require.NoError(t, db.Close())
}

func TestVerify_NamesTheFirstBreak(t *testing.T) {
	path := smallRecord(t)
	alter(t, path, "UPDATE chunks SET tick = tick + 1 WHERE commit_number IN (7, 5)")
	var e *Error
	require.ErrorAs(t, Verify(path), &e)
	require.Equal(t, int64(5), e.Commit)
}

func TestGroups_DamagedPayloadNamesItsRow(t *testing.T) {
	for name, change := range map[string]string{
		"flipped":          "UPDATE chunks SET payload = substr(payload, 1, 300) || x'5a5b5c' || substr(payload, 304) WHERE kind = 'arc' AND commit_number = 4",
		"cut":              "UPDATE chunks SET payload = substr(payload, 1, 100) WHERE kind = 'arc' AND commit_number = 4",
		"null":             "UPDATE chunks SET payload = NULL WHERE kind = 'arc' AND commit_number = 4",
		"n":                "UPDATE chunks SET n = 1000000000000 WHERE kind = 'arc' AND commit_number = 4",
		"n less":           "UPDATE chunks SET n = -1 WHERE kind = 'arc' AND commit_number = 4",
		"codec":            "UPDATE chunks SET codec = 258 WHERE kind = 'arc' AND commit_number = 4",
		"a column's codec": "UPDATE chunks SET codec = 8 WHERE kind = 'arc' AND commit_number = 4",
		"kind":             "UPDATE chunks SET kind = 'arch' WHERE kind = 'arc' AND commit_number = 4",
		"another":          "UPDATE chunks SET kind = 'turn' WHERE kind = 'arc' AND commit_number = 4",
		"part":             "UPDATE chunks SET part = 'current' WHERE kind = 'arc' AND commit_number = 4",
		"no part":          "UPDATE chunks SET part = 'nothing', codec = 6 WHERE kind = 'arc' AND commit_number = 4",
	} {
		t.Run(name, func(t *testing.T) {
			path := smallRecord(t)
			alter(t, path, change)
			r, err := Open(path)
			require.NoError(t, err)
			last := error(nil)
			for g, err := range r.Groups() {
				if last = err; err == nil {
					require.NotEqual(t, int64(4), g.Number)
				}
			}
			requireKind(t, Damaged, last)
			var e *Error
			require.ErrorAs(t, last, &e)
			require.Equal(t, int64(4), e.Commit)
			require.Equal(t, int64(4), e.Row/idsPerCommit)
			require.NoError(t, r.Close())
		})
	}
}

// A chunk that lacks a column, or has one too many or one of no name, is damage.
func TestGroups_ChunkWithoutItsColumns(t *testing.T) {
	pack := codec.NewPacker()
	codes := make([]int32, 500)
	for name, columns := range map[string][]uint8{
		"none": {}, "no current": {voltage}, "no voltage": {current}, "voltage twice": {voltage, current, voltage}, "one of no name": {voltage, current, 99},
	} {
		t.Run(name, func(t *testing.T) {
			path := smallRecord(t)
			for _, which := range columns {
				pack.Codes(which, codes)
			}
			if len(columns) == 0 {
				pack.Bytes(channels, make([]uint8, 500))
			}
			how, payload := pack.Joined(nil)
			meddle(t, path, func(db *sql.DB) {
				_, err := db.Exec("UPDATE chunks SET codec = ?, payload = ? WHERE kind = 'arc' AND commit_number = 4", int64(how), payload)
				require.NoError(t, err)
			})
			_, err := collect(t, path)
			requireKind(t, Damaged, err)
		})
	}
}

// collect reads a record until an error, and returns how many samples it had.
func collect(t *testing.T, path string) (samples int, err error) {
	t.Helper()
	r, err := Open(path)
	require.NoError(t, err)
	for g, failed := range r.Groups() {
		if err = failed; err == nil {
			for k := range g.Blocks {
				samples += g.Blocks[k].Len()
			}
		}
	}
	require.NoError(t, r.Close())
	return samples, err
}

// Runs that do not make up their chunk are damage, and never samples of another one.
func TestGroups_DamagedRunsAreRefused(t *testing.T) {
	pack := codec.NewPacker()
	for name, test := range map[string]struct {
		kind            series.Kind
		lengths, starts []int64
		refused         bool
	}{
		"as written":         {series.Turn, []int64{2, 3}, []int64{0, 100}, false},
		"cut elsewhere":      {series.Turn, []int64{4, 1}, []int64{0, 100}, false},
		"too long":           {series.Turn, []int64{2, 4}, []int64{0, 100}, true},
		"much too long":      {series.Turn, []int64{2, 7}, []int64{0, 100}, true},
		"too short":          {series.Turn, []int64{2, 2}, []int64{0, 100}, true},
		"an empty run":       {series.Turn, []int64{0, 5}, []int64{0, 100}, true},
		"a negative run":     {series.Turn, []int64{-1, 6}, []int64{0, 100}, true},
		"one start too few":  {series.Turn, []int64{2, 3}, []int64{0}, true},
		"one start too many": {series.Turn, []int64{2, 3}, []int64{0, 100, 200}, true},
		"windows":            {series.Sums, []int64{1, 1, 1, 1, 1}, []int64{0, 10, 20, 30, 40}, false},
		"windows joined":     {series.Sums, []int64{2, 1, 1, 1}, []int64{0, 10, 20, 30}, true},
	} {
		t.Run(name, func(t *testing.T) {
			w, path := unhurried(t)
			for k := range int64(5) {
				b := series.Block{Kind: test.kind, Tick: 7 * k * k, Step: 1}
				if b.Count = []int64{k}; b.Kind == series.Sums {
					b.Count, b.Sum = nil, series.WindowSums{Count: 1}
				}
				require.NoError(t, w.Block(&b))
			}
			require.NoError(t, w.Close())
			meddle(t, path, func(db *sql.DB) {
				pack.Numbers(runs, test.lengths)
				pack.Numbers(starts, test.starts)
				if test.kind == series.Turn {
					pack.Numbers(counts, []int64{0, 1, 2, 3, 4})
				} else {
					pack.Sums(sums, make([]series.WindowSums, 5))
				}
				_, payload := pack.Joined(nil)
				_, err := db.Exec("UPDATE chunks SET payload = ?", payload)
				require.NoError(t, err)
			})
			samples, last := collect(t, path)
			if test.refused {
				requireKind(t, Damaged, last)
				return
			}
			require.NoError(t, last)
			require.Equal(t, 5, samples)
		})
	}
}

// TestOpen_CutShort cuts a record at many places: each is refused with a kind,
// and never read as if it were whole.
func TestOpen_CutShort(t *testing.T) {
	if testing.Short() {
		t.Skip("it cuts a record in many places")
	}
	original, err := os.ReadFile(smallRecord(t))
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "cut.arc")
	for at := 0; at < len(original); at += 97 {
		require.NoError(t, os.WriteFile(path, original[:at], 0o600))
		_, err := Open(path)
		requireKind(t, Truncated, err)
		_, err = Append(path)
		requireKind(t, Truncated, err)
	}
	require.NoError(t, os.WriteFile(path, original, 0o600))
	require.NoError(t, Verify(path))
}

// TestVerify_AnyByte changes single bytes anywhere in the file. What changes the
// content is found; what does not (SQLite's unused space) reads as before.
func TestVerify_AnyByte(t *testing.T) {
	if testing.Short() {
		t.Skip("it changes many bytes")
	}
	whole := smallRecord(t)
	original, err := os.ReadFile(whole)
	require.NoError(t, err)
	want := samplesHash(t, whole)
	path := filepath.Join(t.TempDir(), "flipped.arc")
	found := 0
	for at := 0; at < len(original); at += 389 {
		changed := bytes.Clone(original)
		changed[at] ^= 0x10
		require.NoError(t, os.WriteFile(path, changed, 0o600))
		if err := Verify(path); err != nil {
			var e *Error
			require.ErrorAs(t, err, &e, "byte %d", at)
			found++
			continue
		}
		require.Equal(t, want, samplesHash(t, path), "byte %d", at)
	}
	require.Positive(t, found)
}

// samplesHash hashes all samples that Groups gives, by kind.
func samplesHash(t *testing.T, path string) map[string]string { return contentsOf(t, path).SHA256 }

func TestOpen_Refuses(t *testing.T) {
	dir := t.TempDir()
	notes := filepath.Join(dir, "notes.txt")
	require.NoError(t, os.WriteFile(notes, []byte("not a record\n"), 0o600))
	other := filepath.Join(dir, "other.db")
	db, err := sql.Open("sqlite", other)
	require.NoError(t, err)
	_, err = db.Exec("CREATE TABLE t (x)")
	require.NoError(t, err)
	require.NoError(t, db.Close())
	versions := map[int]string{}
	for _, version := range []int{latestVersion + 1, 0, -1} {
		versions[version] = smallRecord(t)
		change(t, versions[version], fmt.Sprintf("PRAGMA user_version = %d", version))
	}
	newer := versions[latestVersion+1]
	stranger := smallRecord(t)
	change(t, stranger, fmt.Sprintf("PRAGMA application_id = %d", applicationID+1))

	for name, test := range map[string]struct {
		path string
		want Kind
	}{
		"missing":           {filepath.Join(dir, "nothing.arc"), Missing},
		"text":              {notes, NotRecord},
		"folder":            {dir, NotRecord},
		"another program's": {other, NotRecord},
		"newer":             {newer, Newer},
		"no version":        {versions[0], NotRecord},
		"a version below 1": {versions[-1], NotRecord},
		"another mark":      {stranger, NotRecord},
	} {
		t.Run(name, func(t *testing.T) {
			before, beforeErr := os.ReadFile(test.path)
			_, err := Open(test.path)
			requireKind(t, test.want, err)
			_, err = Append(test.path)
			requireKind(t, test.want, err)
			requireKind(t, test.want, Verify(test.path))
			after, afterErr := os.ReadFile(test.path)
			require.Equal(t, beforeErr == nil, afterErr == nil)
			require.Equal(t, before, after, "refused, not touched")
		})
	}
	_, err = Create(newer, Meta{})
	requireKind(t, Exists, err)
	_, err = os.Stat(newer + lockSuffix)
	require.ErrorIs(t, err, os.ErrNotExist)
}

func TestOpen_ReadOnlyFolder(t *testing.T) {
	path := smallRecord(t)
	dir := filepath.Dir(path)
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.Chmod(path, 0o444))
	openToAll(t, dir)
	require.NoError(t, os.Chmod(dir, 0o555))
	asNobody(t, func() {
		require.NoError(t, Verify(path))
		_, err := Append(path)
		requireKind(t, ReadOnly, err)
		_, err = Create(filepath.Join(dir, "new.arc"), Meta{})
		requireKind(t, ReadOnly, err)
	})
	require.NoError(t, os.Chmod(dir, 0o755))
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, before, after)
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 1, "reading leaves nothing behind")
}

// openToAll lets every user through the folders that lead to the test's own.
func openToAll(t *testing.T, dir string) {
	t.Helper()
	for d := dir; d != os.TempDir() && len(d) > 1; d = filepath.Dir(d) {
		if err := os.Chmod(d, 0o755); errors.Is(err, os.ErrPermission) {
			return
		}
	}
}

// SQLite answers what it made of a request; where it cannot keep a "-wal" file, as in
// memory, no record may be written.
func TestJournal_RefusesWhatSQLiteCouldNotDo(t *testing.T) {
	meddle(t, ":memory:", func(db *sql.DB) {
		conn, err := db.Conn(t.Context())
		require.NoError(t, err)
		err = journal(t.Context(), "p", conn)
		requireKind(t, Unsafe, err)
		require.ErrorContains(t, err, `the journal mode is "memory" and not wal`)
		require.NoError(t, conn.Close())
	})
}

func TestTrust_RefusesWhatCouldLoseCommits(t *testing.T) {
	require.NoError(t, trust("p", "3.51.3", "wal", synchronousFull))
	for _, later := range []string{"3.51.4", "3.52.0", "4.0.0", "4.51.2"} {
		require.NoError(t, trust("p", later, "wal", synchronousFull))
	}
	for _, bad := range []struct {
		version, mode string
		synchronous   int
	}{
		{"3.51.2", "wal", synchronousFull},
		{"3.50.9", "wal", synchronousFull},
		{"3.50.4", "wal", synchronousFull},
		{"2.99.9", "wal", synchronousFull},
		{"odd", "wal", synchronousFull},
		{"3.53.0", "delete", synchronousFull},
		{"3.53.0", "memory", synchronousFull},
		{"3.53.0", "wal", 1},
		{"3.53.0", "wal", 0},
	} {
		requireKind(t, Unsafe, trust("p", bad.version, bad.mode, bad.synchronous))
	}
}
