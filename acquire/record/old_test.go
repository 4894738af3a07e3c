package record

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// oldSchema is that of version 1, as its program wrote it; it must never follow
// the schema of today.
var oldSchema = []string{
	"PRAGMA page_size = 1024",
	"CREATE TABLE commits (number INTEGER PRIMARY KEY, wall INTEGER, epoch INTEGER, first_tick INTEGER, last_tick INTEGER,\n" +
		"  samples INTEGER, sources INTEGER, events INTEGER, rows INTEGER, hash BLOB)",
	"CREATE INDEX commits_by_tick ON commits (epoch, last_tick)",
	oldTable("about", "topic TEXT, text TEXT"),
	oldTable("meta", "key TEXT, value TEXT"),
	oldTable("documents", "name TEXT, text TEXT"),
	oldTable("sources", "epoch INTEGER, tick INTEGER, description TEXT"),
	oldTable("channels", `source INTEGER, channel INTEGER, name TEXT, unit TEXT, scale REAL, "offset" REAL, bits INTEGER, basis TEXT`),
	oldTable("calibrations", `epoch INTEGER, tick INTEGER, channel TEXT, gain REAL, "offset" REAL, relative REAL, date TEXT, due TEXT, certificate TEXT`),
	oldTable("clock", "epoch INTEGER, tick INTEGER, wall INTEGER, slope REAL, arrival INTEGER"),
	oldTable("events", `kind TEXT, epoch INTEGER, tick INTEGER, until INTEGER, "count" INTEGER, text TEXT`),
	oldTable("chunks", `chunk INTEGER, kind TEXT, part TEXT, epoch INTEGER, tick INTEGER, step INTEGER, n INTEGER, "break" INTEGER, codec INTEGER, payload BLOB`),
	oldTable("seconds", `channel INTEGER, epoch INTEGER, second INTEGER, min REAL, max REAL, sum REAL, "count" INTEGER`),
	"CREATE INDEX seconds_by_place ON seconds (channel, epoch, second)",
	"PRAGMA application_id = 1634886516",
	"PRAGMA user_version = 1",
}

func oldTable(name, columns string) string {
	return fmt.Sprintf("CREATE TABLE %s (id INTEGER PRIMARY KEY, %s, commit_number INTEGER GENERATED ALWAYS AS (id / 1000000) VIRTUAL)", name, columns)
}

// oldRecord makes a record of version 1 with the rows that a record of today
// has, but for what version 1 did not know; every hash of it was computed over
// the tables of version 1 alone.
func oldRecord(t *testing.T) string {
	t.Helper()
	today, path := smallRecord(t), filepath.Join(t.TempDir(), "old.arctally")
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	for _, statement := range oldSchema {
		_, err := db.ExecContext(t.Context(), statement)
		require.NoError(t, err, statement)
	}
	source, err := Open(today)
	require.NoError(t, err)
	chain := newChain()
	var heads [][]any
	require.NoError(t, source.each("SELECT "+commitColumns+" FROM commits ORDER BY number", nil, func(scan func(...any) error) error {
		columns := make([]any, 10)
		heads = append(heads, columns)
		return scan(pointers(columns)...)
	}))
	for _, head := range heads {
		chain.begin()
		for _, table := range chained[:10] {
			copyRows(t, source, db, table, head[0].(int64), chain)
		}
		head[8] = chain.rows
		head[9] = append([]byte{}, chain.end(head[:9])...)
		_, err := db.ExecContext(t.Context(), "INSERT INTO commits VALUES (?,?,?,?,?,?,?,?,?,?)", head...)
		require.NoError(t, err)
	}
	require.NoError(t, source.Close())
	require.NoError(t, db.Close())
	return path
}

// copyRows copies the rows of one group, and leaves out what version 1 did not say.
func copyRows(t *testing.T, from *Reader, to *sql.DB, table *table, number int64, chain *chain) {
	t.Helper()
	query := fmt.Sprintf("SELECT %s FROM %s WHERE commit_number = ? ORDER BY id", table.list(), table.name)
	require.NoError(t, from.each(query, []any{number}, func(scan func(...any) error) error {
		values := make([]any, len(table.columns)+1)
		if err := scan(pointers(values)...); err != nil {
			return err
		}
		if values[1] == "entries" || values[1] == "photographs" {
			return nil
		}
		if values[1] == "chain" {
			values[2] = strings.Replace(values[2].(string), ", entries, photographs", "", 1)
		}
		chain.row(table.name, values)
		_, err := to.ExecContext(context.Background(), table.insert(), values...)
		return err
	}))
}

func entriesOf(t *testing.T, path string) []Entry {
	t.Helper()
	r, err := Open(path)
	require.NoError(t, err)
	entries, err := r.Entries()
	require.NoError(t, err)
	require.NoError(t, r.Close())
	return entries
}

func heads(t *testing.T, path string) (all [][]byte) {
	t.Helper()
	r, err := Open(path)
	require.NoError(t, err)
	require.NoError(t, r.each("SELECT hash FROM commits ORDER BY number", nil, func(scan func(...any) error) error {
		var hash []byte
		err := scan(&hash)
		all = append(all, hash)
		return err
	}))
	require.NoError(t, r.Close())
	return all
}

func TestOldRecord_IsReadAsItIs(t *testing.T) {
	path := oldRecord(t)
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, Verify(path))
	require.Empty(t, entriesOf(t, path))
	r, err := Open(path)
	require.NoError(t, err)
	_, _, err = r.Photograph("00")
	requireKind(t, Missing, err)
	require.NoError(t, r.Close())
	require.Equal(t, digest(t, smallRecord(t)), digest(t, path))
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, before, after)
}

func TestOldRecord_IsUpgradedByWhoGoesOn(t *testing.T) {
	for name, open := range map[string]func(string) (*Writer, error){"append": Append, "amend": Amend} {
		t.Run(name, func(t *testing.T) {
			path := oldRecord(t)
			samples, old := digest(t, path), heads(t, path)
			w, err := open(path)
			require.NoError(t, err)
			number, err := w.Entry("disposition", "Inspector 1", time.Unix(7, 9).UTC(), "{}")
			require.NoError(t, err)
			require.Equal(t, int64(1), number)
			require.NoError(t, w.Close())
			require.NoError(t, Verify(path))
			require.Equal(t, samples, digest(t, path))
			require.Equal(t, old, heads(t, path)[:len(old)], "no hash changes")
			require.Equal(t, []Entry{{Number: 1, Kind: "disposition", By: "Inspector 1", At: time.Unix(7, 9).UTC(), Text: "{}"}}, entriesOf(t, path))

			groups := len(heads(t, path))
			w, err = Amend(path)
			require.NoError(t, err)
			require.NoError(t, w.Close())
			require.Len(t, heads(t, path), groups, "it is upgraded once")
			topics := map[string]int{}
			r, err := Open(path)
			require.NoError(t, err)
			require.NoError(t, r.each("SELECT topic FROM about", nil, func(scan func(...any) error) error {
				var topic string
				err := scan(&topic)
				topics[topic]++
				return err
			}))
			require.NoError(t, r.Close())
			require.Equal(t, []int{1, 1, 1, 2}, []int{topics["entries"], topics["photographs"], topics["ticks"], topics["chain"]})
		})
	}
}

// Where the upgrade fails, the record is the one that it was.
func TestOldRecord_UpgradeIsAllOrNothing(t *testing.T) {
	path := oldRecord(t)
	old := heads(t, path)
	change(t, path, "CREATE TABLE photographs (x)")
	_, err := Amend(path)
	requireKind(t, Failed, err)
	change(t, path, "DROP TABLE photographs")
	require.NoError(t, Verify(path))
	require.Equal(t, old, heads(t, path))
	w, err := Append(path)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	require.NoError(t, Verify(path))
}

// A reader of an old record that is upgraded under it is told so.
func TestOldRecord_UpgradedWhileItIsRead(t *testing.T) {
	path := oldRecord(t)
	r, err := Open(path)
	require.NoError(t, err)
	w, err := Amend(path)
	require.NoError(t, err)
	_, err = w.Entry("machining", "Inspector 1", time.Unix(1, 0), "{}")
	require.NoError(t, err)
	require.NoError(t, w.Close())
	requireKind(t, Changed, r.Verify())
	require.NoError(t, r.Close())
}

func TestOldRecord_HidingEntriesBehindAnOldVersionIsSeen(t *testing.T) {
	path := peopledRecord(t)
	change(t, path, "PRAGMA user_version = 1")
	requireKind(t, Altered, Verify(path))
}
