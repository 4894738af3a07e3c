package record

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/clock"
	"arctally/acquire/record/codec"
	"arctally/acquire/record/digest"
	"arctally/acquire/series"
)

// hashOf returns the hash of a group with one row, behind some former head.
func hashOf(former [sha256.Size]byte, table string, row []any, commit ...any) [sha256.Size]byte {
	c := newChain()
	c.head = former
	c.begin()
	c.row(table, row)
	return [sha256.Size]byte(c.end(commit))
}

// The bytes are written out by hand from "The chain" of FORMAT.md.
func TestChain_byHand(t *testing.T) {
	former := [sha256.Size]byte{1, 2, 31: 32}
	want := append([]byte{}, former[:]...)
	for _, part := range []string{
		"t\x04\x00\x00\x00\x00\x00\x00\x00abcd",   // the table
		"i\xfe\xff\xff\xff\xff\xff\xff\xff",       // -2
		"r\x00\x00\x00\x00\x00\x00\xf8\x3f",       // 1.5
		"b\x03\x00\x00\x00\x00\x00\x00\x00\x00xy", // a blob
		"n", // NULL
		"t\x02\x00\x00\x00\x00\x00\x00\x00\xc3\xbc", // ü
		"r\x00\x00\x00\x00\x00\x00\x00\x00",         // zero without a sign
		"i\x07\x00\x00\x00\x00\x00\x00\x00", "n",    // the columns of the commit
	} {
		want = append(want, part...)
	}
	got := hashOf(former, "abcd", []any{int64(-2), 1.5, []byte{0, 'x', 'y'}, nil, "ü", math.Copysign(0, -1)}, int64(7), nil)
	require.Equal(t, sha256.Sum256(want), got)
}

// Each of these differs from the first in one thing alone.
func TestChain_EverythingEntersTheHash(t *testing.T) {
	none, other := [sha256.Size]byte{}, [sha256.Size]byte{31: 1}
	seen := map[[sha256.Size]byte]int{}
	for k, hash := range [][sha256.Size]byte{
		hashOf(none, "events", []any{int64(1), "ab", "c"}, int64(1)),
		hashOf(other, "events", []any{int64(1), "ab", "c"}, int64(1)), // the former head
		hashOf(none, "clock", []any{int64(1), "ab", "c"}, int64(1)),
		hashOf(none, "events", []any{int64(2), "ab", "c"}, int64(1)),
		hashOf(none, "events", []any{1.0, "ab", "c"}, int64(1)),
		hashOf(none, "events", []any{int64(1), "a", "bc"}, int64(1)),
		hashOf(none, "events", []any{int64(1), []byte("ab"), "c"}, int64(1)),
		hashOf(none, "events", []any{int64(1), "ab", "c", nil}, int64(1)),
		hashOf(none, "events", []any{int64(1), "ab", "c", ""}, int64(1)),
		hashOf(none, "events", []any{int64(1), "ab", "c"}, int64(2)),
		hashOf(none, "events", []any{int64(1), "ab", "c"}, 1.0),
		hashOf(none, "events", []any{int64(1), "ab", "c"}, nil),
	} {
		before, twice := seen[hash]
		require.False(t, twice, "%d is the same as %d", k, before)
		seen[hash] = k
	}
}

// A chain of one object goes on: a group's hash covers the one before it, and
// nothing else of it.
func TestChain_GoesOn(t *testing.T) {
	c := newChain()
	for range 3 {
		former := c.head
		c.begin()
		require.Zero(t, c.rows)
		c.row("events", []any{int64(1)})
		c.row("events", []any{int64(1)})
		require.Equal(t, int64(2), c.rows)
		got := [sha256.Size]byte(c.end([]any{int64(9)}))
		alone := newChain()
		alone.head = former
		alone.begin()
		alone.row("events", []any{int64(1)})
		alone.row("events", []any{int64(1)})
		require.Equal(t, got, [sha256.Size]byte(alone.end([]any{int64(9)})))
		require.NotEqual(t, former, got)
		require.Equal(t, got, c.head)
	}
}

func TestChain_PanicsOnACallersBug(t *testing.T) {
	require.PanicsWithValue(t, "record: a int does not belong in a row", func() { newChain().row("events", []any{1}) })
}

var every madeRecord

// everyRecord is small, and has every table with several groups.
func everyRecord(t *testing.T) string {
	return onceMade(t, &every, func(t *testing.T, path string) {
		t.Helper()
		w, err := create(path, Meta{Job: "j", Procedure: "p", Documents: map[string]string{"job.yaml": "job: j\n", "procedure.yaml": "p"}}, whenAsked())
		require.NoError(t, err)
		v, i := dippingArc(40, 1, 1)
		for k := range int64(4) {
			tick := k * 1_000_000_000
			described := box()
			described.Firmware = fmt.Sprint(k)
			require.NoError(t, w.Source(described)) // which ends the digests before it
			require.NoError(t, w.Calibration(calib.Calibration{Channel: "voltage", Gain: 1, Date: "d", Due: "e", Certificate: "c"}, 0, tick))
			flags := make([]bool, 10)
			flags[k] = true
			require.NoError(t, w.Block(&series.Block{Kind: series.Arc, Tick: tick, Step: 100_000, V: v[10*k:][:10], I: i[10*k:][:10], Flag: flags}))
			require.NoError(t, w.Block(&series.Block{Kind: series.Arc, Tick: tick + 5_000_000, Step: 100_000, V: v[10*k:][:10], I: i[10*k:][:10], Flag: flags}))
			require.NoError(t, w.Block(&series.Block{Kind: series.Slow, Ticks: []int64{tick, tick + 7}, Channel: []uint8{2, 3}, Value: []float64{0.1, float64(k)}}))
			require.NoError(t, w.Block(&series.Block{Kind: series.Turn, Tick: tick, Count: []int64{k}}))
			require.NoError(t, w.Block(&series.Block{Kind: series.Sums, Tick: tick, Step: 5, Sum: series.WindowSums{Count: 3, V: k}}))
			require.NoError(t, w.Event(series.Event{Kind: series.Gap, Tick: tick, Until: tick + 1, Text: "t"}))
			require.NoError(t, w.Clock(clock.Fit{Tick: tick, Slope: 1, Wall: time.Unix(k+1, 0)}))
			require.NoError(t, w.Check(meterCheck(t)))
			_, err = w.Entry("disposition", "Inspector 1", time.Unix(k+1, 0), "{}")
			require.NoError(t, err)
			_, err = w.Photograph("image/png", picture(300, uint64(k)))
			require.NoError(t, err)
			require.NoError(t, w.Sync())
		}
		machine, _, _ := keysOf(t)
		w.SealWith(machine)
		require.NoError(t, w.Close())
	})
}

// changed returns a value that differs as little as a value of its type can.
func changed(v any) any {
	switch v := v.(type) {
	case nil:
		return int64(0)
	case int64:
		return v + 1
	case float64:
		return math.Nextafter(v, math.Inf(1))
	case string:
		return v + " "
	case []byte:
		b := append([]byte{}, v...)
		b[len(b)-1] ^= 1
		return b
	default:
		panic(fmt.Sprintf("a column of type %T", v))
	}
}

// meddle opens a record behind the back of the package.
func meddle(t *testing.T, path string, do func(db *sql.DB)) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	db.SetMaxOpenConns(1)
	do(db)
	require.NoError(t, db.Close())
}

// Not one column of one table can change in the first or the last of its rows, by
// the least that there is, without being seen.
func TestVerify_SeesTheLeastChangeOfEveryColumn(t *testing.T) {
	require.NoError(t, Verify(everyRecord(t)))
	tables := map[string][]string{"commits": {"number", "wall", "epoch", "first_tick", "last_tick", "samples", "sources", "events", "rows", "hash"}}
	for _, table := range chained {
		if table != &secondsTable { // of older versions alone, whose frozen records have it under their hashes
			tables[table.name] = append([]string{"id"}, table.columns...)
		}
	}
	for table, columns := range tables {
		for _, column := range columns {
			for _, end := range []string{"min", "max"} {
				path := everyRecord(t)
				meddle(t, path, func(db *sql.DB) {
					var row int64
					var value any
					where := fmt.Sprintf(" FROM %s WHERE rowid = (SELECT %s(rowid) FROM %s)", table, end, table)
					require.NoError(t, db.QueryRow(fmt.Sprintf(`SELECT rowid, "%s"`, column)+where).Scan(&row, &value))
					by := changed(value)
					if column == "id" || column == "number" {
						by = value.(int64) + 500 // a place that no row has
					}
					_, err := db.Exec(fmt.Sprintf(`UPDATE %s SET "%s" = ? WHERE rowid = ?`, table, column), by, row)
					require.NoError(t, err)
				})
				var e *Error
				require.ErrorAs(t, Verify(path), &e, "%s row of %s: %s", end, table, column)
				require.Contains(t, []Kind{Altered, Damaged}, e.Kind, "%s row of %s: %s", end, table, column)
			}
		}
	}
}

// A text that becomes a blob of the same bytes is another value.
func TestVerify_SeesAnotherType(t *testing.T) {
	path := everyRecord(t)
	alter(t, path, "UPDATE events SET text = CAST(text AS BLOB) WHERE id = (SELECT max(id) FROM events)")
	requireKind(t, Altered, Verify(path))
}

// Rows, parts and whole groups that change places are seen.
func TestVerify_SeesWhatChangedPlaces(t *testing.T) {
	swap := func(table string, a, b int64) string {
		return fmt.Sprintf("UPDATE %[1]s SET id = -1 WHERE id = %[2]d; UPDATE %[1]s SET id = %[2]d WHERE id = %[3]d; UPDATE %[1]s SET id = %[3]d WHERE id = -1;", table, a, b)
	}
	groups := "UPDATE commits SET number = -1 WHERE number = 3; UPDATE commits SET number = 3 WHERE number = 4; UPDATE commits SET number = 4 WHERE number = -1;"
	for _, table := range chained {
		groups += fmt.Sprintf("UPDATE %[1]s SET id = id + 1000000000 WHERE id / 1000000 = 3; UPDATE %[1]s SET id = id - 1000000 WHERE id / 1000000 = 4;"+
			"UPDATE %[1]s SET id = id - 999000000 WHERE id / 1000000 = 1003;", table.name)
	}
	for name, change := range map[string]string{
		"groups":   groups,
		"digests":  swap("digests", 3_000_001, 3_000_002),
		"parts":    swap("chunks", 3_000_001, 3_000_002),
		"channels": swap("channels", 2_000_001, 2_000_002),
	} {
		t.Run(name, func(t *testing.T) {
			path := everyRecord(t)
			meddle(t, path, func(db *sql.DB) {
				_, err := db.Exec(change)
				require.NoError(t, err)
			})
			requireKind(t, Altered, Verify(path))
		})
	}
}

// forge computes the hashes of groups anew, from a former head, as somebody would
// who knows the format.
func forge(t *testing.T, path string, first, last int64, former []byte) {
	t.Helper()
	r, err := Open(path)
	require.NoError(t, err)
	version, err := r.version()
	require.NoError(t, err)
	v := &verifier{rechain: rechain{reader: r, chain: newChain(), tables: tablesOf(version), take: func(*table, []any) {}}, digests: newDigestVerifier(r)}
	require.NoError(t, v.prepare())
	copy(v.chain.head[:], former)
	hashes := map[int64][]byte{}
	heads, err := v.heads(first - 1)
	require.NoError(t, err)
	for number := first; number <= last; number++ {
		columns := heads[number-first]
		v.chain.begin()
		for k, table := range v.tables {
			require.NoError(t, v.table(k, table, number))
		}
		hashes[number] = append([]byte{}, v.chain.end(columns[:len(columns)-1])...)
	}
	v.close()
	require.NoError(t, r.Close())
	meddle(t, path, func(db *sql.DB) {
		for number, hash := range hashes {
			_, err := db.ExecContext(context.Background(), "UPDATE commits SET hash = ? WHERE number = ?", hash, number)
			require.NoError(t, err)
		}
	})
}

// A group that was changed and given a hash of its own is found by the next one,
// because that covers the former hash. Only who computes all of them anew, up to
// the end, is not seen: then the fingerprint is another one.
func TestVerify_AForgedGroupIsFoundByTheNext(t *testing.T) {
	unsealed := func() string {
		path := everyRecord(t)
		change(t, path, "DELETE FROM seals; DELETE FROM commits WHERE number = (SELECT max(number) FROM commits)")
		return path
	}
	known := heads(t, unsealed())
	commitOf := func(path string) int64 {
		var e *Error
		require.ErrorAs(t, Verify(path), &e)
		require.Equal(t, Altered, e.Kind)
		return e.Commit
	}
	forged := func() string {
		path := unsealed()
		alter(t, path, "UPDATE events SET until = until + 1 WHERE commit_number = 3")
		return path
	}
	path := forged()
	require.Equal(t, int64(3), commitOf(path))
	forge(t, path, 3, 3, known[1])
	require.Equal(t, int64(4), commitOf(path), "the next group still covers the former hash")

	path = forged()
	forge(t, path, 3, 3, make([]byte, sha256.Size))
	require.Equal(t, int64(3), commitOf(path), "a hash that does not cover the one before it")

	path = forged()
	last := int64(len(known))
	forge(t, path, 3, last, known[1])
	require.NoError(t, Verify(path))
	r, err := Open(path)
	require.NoError(t, err)
	fingerprint, err := r.Fingerprint()
	require.NoError(t, err)
	require.NotEqual(t, hex.EncodeToString(known[last-1]), fingerprint)
	require.NoError(t, r.Close())
}

// Unchanged, a forged hash is the one that was there: what forge does is what the
// writer did.
func TestForge_IsTheWritersHash(t *testing.T) {
	path := everyRecord(t)
	before := heads(t, path)
	forge(t, path, 1, int64(len(before)), make([]byte, sha256.Size))
	require.Equal(t, before, heads(t, path))
	require.NoError(t, Verify(path))
}

// Who changes a digest and computes every hash anew changes a picture, not a sample: the
// digest is told, by its group. One that is left out shows no wrong picture.
func TestVerify_SeesADigestThatItsSamplesDoNotComeTo(t *testing.T) {
	none := make([]byte, sha256.Size)
	written := func() (string, int64) {
		w, path := unhurried(t)
		require.NoError(t, w.Source(box()))
		for k := range 20 { // 20 s: a row of a second level ends
			b := arcBlock(10_000)
			b.Tick = int64(k) * nanosPerSecond
			require.NoError(t, w.Block(b))
			require.NoError(t, w.Sync())
		}
		require.NoError(t, w.Close())
		require.NoError(t, Verify(path))
		return path, int64(len(heads(t, path)))
	}
	for _, level := range []int{0, 1} {
		path, last := written()
		r, err := Open(path)
		require.NoError(t, err)
		var row storedDigest
		require.NoError(t, r.each("SELECT id, codec, payload FROM digests WHERE level = ?", []any{level}, func(scan func(...any) error) error {
			return scan(&row.id, &row.how, &row.payload)
		}))
		d, err := r.unpack(&row, new(digest.Decoder), all)
		require.NoError(t, err)
		require.NoError(t, r.Close())
		d[0].Cells[0].High++
		_, payload := codec.NewPacker().Content(nil, d.Append(nil, level > 0))
		meddle(t, path, func(db *sql.DB) {
			_, err := db.ExecContext(context.Background(), "UPDATE digests SET payload = ? WHERE id = ?", payload, row.id)
			require.NoError(t, err)
		})
		forge(t, path, 1, last, none)
		var e *Error
		require.ErrorAs(t, Verify(path), &e)
		require.Equal(t, Altered, e.Kind)
		require.Equal(t, row.id/idsPerCommit, e.Commit)
		require.Contains(t, e.Detail, "not what their samples come to")
	}
	path, last := written()
	want := cellsOf(t, path, 0)
	meddle(t, path, func(db *sql.DB) {
		_, err := db.ExecContext(context.Background(), "UPDATE commits SET rows = rows - (SELECT count(*) FROM digests WHERE commit_number = number); DELETE FROM digests")
		require.NoError(t, err)
	})
	forge(t, path, 1, last, none)
	require.NoError(t, Verify(path))
	r, err := Open(path)
	require.NoError(t, err)
	spans, err := r.Epochs()
	require.NoError(t, err)
	requireWindow(t, r, want, spans[0], math.MinInt64, math.MaxInt64, 0)
	require.NoError(t, r.Close())
}
