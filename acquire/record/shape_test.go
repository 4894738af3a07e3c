package record

import (
	"database/sql"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/record/codec"
	"arctally/acquire/series"
)

// shaped are records of every version, as they are made and as they become.
func shaped(t *testing.T) map[string]string {
	all := map[string]string{"new": everyRecord(t), "of several boxes": severalBoxes(t, 1)}
	for name := range frozenHeads {
		all[name] = frozen(t, name)
		upgraded := frozen(t, name)
		w, err := Amend(upgraded)
		require.NoError(t, err)
		require.NoError(t, w.Close())
		all[name+", upgraded"] = upgraded
	}
	return all
}

func TestShape_OfEveryVersionIsKnown(t *testing.T) {
	for name, path := range shaped(t) {
		require.NoError(t, Verify(path), name)
		w, err := Append(path)
		require.NoError(t, err, name)
		require.NoError(t, w.Close())
		require.NoError(t, Verify(path), name)
	}
}

// An upgraded record holds what a new one holds, whatever it was before.
func TestShape_UpgradedEqualsNew(t *testing.T) {
	objects := func(path string) (all []object) {
		meddle(t, path, func(db *sql.DB) {
			conn, err := db.Conn(t.Context())
			require.NoError(t, err)
			held, err := objectsIn(t.Context(), conn)
			require.NoError(t, err)
			for _, h := range held {
				all = append(all, h.object)
			}
			require.NoError(t, conn.Close())
		})
		return all
	}
	want := objectsOf(latestVersion)
	require.NotEmpty(t, want)
	for name, path := range shaped(t) {
		if versionOf(t, path) == latestVersion {
			require.ElementsMatch(t, want, objects(path), name)
		}
	}
}

// attacks are statements that give a record another shape, by name: every kind of
// object over every table, and every change of every column.
func attacks(version int64) map[string]string {
	all := map[string]string{
		"a table of its own":     "CREATE TABLE other (x)",
		"an empty view":          "CREATE VIEW other AS SELECT 1",
		"a counter of ids":       "CREATE TABLE other (id INTEGER PRIMARY KEY AUTOINCREMENT)",
		"what ANALYZE leaves":    "ANALYZE",
		"a virtual table":        "CREATE VIRTUAL TABLE other USING fts5(x)",
		"a schema table":         schemaRow("table", "sqlite_schema", "sqlite_schema", 2, "CREATE TABLE sqlite_schema (type, name, tbl_name, rootpage, sql)"),
		"a row without a name":   schemaRow("table", "", "", 2, ""),
		"a row of no kind":       schemaRow("", "other", "other", 0, "CREATE TABLE other (x)"),
		"another mark":           "PRAGMA application_id = 7",
		"pages that move":        "PRAGMA auto_vacuum = 1; VACUUM",
		"two tables on one page": writable("UPDATE sqlite_master SET rootpage = (SELECT rootpage FROM sqlite_master WHERE name = 'meta') WHERE name = 'about'"),
	}
	for other := range int64(latestVersion + 2) {
		if other != version && !sameShape(other, version) {
			all[fmt.Sprintf("version %d", other)] = fmt.Sprintf("PRAGMA user_version = %d", other)
		}
	}
	for _, o := range objectsOf(version) {
		if o.kind == "index" {
			maps.Copy(all, attacksOnIndex(o))
		} else {
			maps.Copy(all, attacksOnTable(o))
		}
	}
	return all
}

// sameShape tells whether two versions have the same tables.
func sameShape(a, b int64) bool {
	return a > 0 && b > 0 && a <= latestVersion && b <= latestVersion && slices.Equal(objectsOf(a), objectsOf(b))
}

func writable(statement string) string {
	return "PRAGMA writable_schema = ON; " + statement + "; PRAGMA writable_schema = OFF"
}

func schemaRow(kind, name, table string, root int, made string) string {
	return writable(fmt.Sprintf("INSERT INTO sqlite_master (type, name, tbl_name, rootpage, sql) VALUES ('%s', '%s', '%s', %d, nullif('%s', ''))", kind, name, table, root, made))
}

func rewritten(o object, from, to string) string {
	return writable(fmt.Sprintf("UPDATE sqlite_master SET sql = replace(sql, '%s', '%s') WHERE name = '%s'", strings.ReplaceAll(from, "'", "''"), strings.ReplaceAll(to, "'", "''"), o.name))
}

func attacksOnIndex(o object) map[string]string {
	at := strings.Index(o.made, "(")
	columns := o.made[at:]
	all := map[string]string{}
	add := func(name, statement string) { all[o.name+" "+name] = statement }
	remake := func(name, made string) { add(name, "DROP INDEX "+o.name+"; "+made) }
	add("dropped", "DROP INDEX "+o.name)
	remake("of another name", strings.Replace(o.made, o.name, "other", 1))
	add("unique", rewritten(o, "CREATE INDEX", "CREATE UNIQUE INDEX"))
	remake("of one column more", strings.Replace(o.made, ")", ", id + 0)", 1))
	remake("downwards", strings.Replace(o.made, ")", " DESC)", 1))
	remake("of few rows", "CREATE INDEX "+o.name+" ON "+o.table+" "+columns[:strings.Index(columns, ")")+1]+" WHERE 0")
	remake("on another table", "CREATE INDEX "+o.name+" ON about (topic)")
	add("of no rows, and as it was made", writable("UPDATE sqlite_master SET rootpage = 0 WHERE name = '"+o.name+"'"))
	if o.table == "commits" {
		delete(all, o.name+" of one column more")
	}
	return all
}

func attacksOnTable(o object) map[string]string {
	all := map[string]string{}
	add := func(name, statement string) { all[o.name+" "+name] = statement }
	columns := columnsOf(o)
	add("under a view", "ALTER TABLE "+o.name+" RENAME TO kept; CREATE VIEW "+o.name+" AS SELECT * FROM kept")
	add("under a view, to the letter", writable("UPDATE sqlite_master SET name = 'kept', tbl_name = 'kept', sql = replace(sql, 'TABLE "+o.name+"', 'TABLE kept') WHERE name = '"+o.name+"'")+
		"; "+schemaRow("view", o.name, o.name, 0, "CREATE VIEW "+o.name+" AS SELECT * FROM kept"))
	add("dropped", "DROP TABLE "+o.name)
	add("renamed", "ALTER TABLE "+o.name+" RENAME TO other")
	add("renamed and back", "ALTER TABLE "+o.name+" RENAME TO other; ALTER TABLE other RENAME TO "+o.name)
	add("with a column more", "ALTER TABLE "+o.name+" ADD COLUMN other")
	add("without a declared sense of ids", rewritten(o, "INTEGER PRIMARY KEY", "INTEGER PRIMARY KEY DESC"))
	add("strict", rewritten(o, ")", ") STRICT"))
	add("in other letters", rewritten(o, "CREATE TABLE", "create table"))
	add("with another space", rewritten(o, " (", "  ("))
	add("with a check", rewritten(o, columns[1]+"", columns[1]+" CHECK (1)"))
	add("of another name in its row", writable("UPDATE sqlite_master SET tbl_name = 'other' WHERE name = '"+o.name+"'"))
	add("twice", writable("INSERT INTO sqlite_master SELECT * FROM sqlite_master WHERE name = '"+o.name+"'"))
	for _, when := range []string{"BEFORE", "AFTER"} {
		for _, what := range []string{"INSERT", "UPDATE", "DELETE"} {
			add(strings.ToLower("with a trigger "+when+" "+what), "CREATE TRIGGER keep "+when+" "+what+" ON "+o.name+" BEGIN SELECT 1; END")
		}
	}
	for _, column := range columns[:attacked(len(columns))] {
		add("with an index on "+column, "CREATE INDEX other ON "+o.name+" ("+column+")")
		add("with "+column+" renamed", "ALTER TABLE "+o.name+" RENAME COLUMN "+column+" TO other")
		for _, from := range []string{" INTEGER", " REAL", " TEXT", " BLOB"} {
			if column != columns[0] && strings.Contains(o.made, column+from) {
				for _, to := range []string{"", " NUMERIC", from + " NOT NULL", from + " DEFAULT 7", from + " COLLATE NOCASE", from + " GENERATED ALWAYS AS (1)"} {
					add("with "+column+from+" as"+to, rewritten(o, column+from, column+to))
				}
			}
		}
	}
	return all
}

// attacked is how many columns of a table are attacked: three, or all where somebody
// has the time.
func attacked(columns int) int {
	if os.Getenv("ARCTALLY_FORGERIES") != "" {
		return columns
	}
	return min(3, columns)
}

// columnsOf returns the columns of a table as they stand in its statement.
func columnsOf(o object) []string {
	if o.name == "commits" {
		return strings.Split(strings.TrimSuffix(commitColumns, ", hash"), ", ")
	}
	at := slices.IndexFunc(chained, func(t *table) bool { return t.name == o.name })
	columns := []string{"id"}
	for _, c := range chained[at].columns {
		columns = append(columns, quoted(c))
	}
	return columns
}

// Whatever shape a forger gives to a record, whoever opens it is told so, and changes
// no byte of it.
func TestShape_EveryOtherOneIsRefused(t *testing.T) {
	if testing.Short() {
		t.Skip("it attacks every column of every table")
	}
	for name, original := range map[string]string{"new": smallRecord(t), "version 1": frozen(t, "version-1-capture.arctally")} {
		version := versionOf(t, original)
		file, err := os.ReadFile(original)
		require.NoError(t, err)
		path := filepath.Join(t.TempDir(), "forged.arc")
		all := attacks(version)
		require.Greater(t, len(all), 300)
		for attack, statements := range all {
			require.NoError(t, os.WriteFile(path, file, 0o600))
			meddle(t, path, func(db *sql.DB) {
				_, err := db.Exec("PRAGMA synchronous = OFF; " + statements)
				require.NoError(t, err, attack)
			})
			forged, err := os.ReadFile(path)
			require.NoError(t, err)
			require.NotEqual(t, file, forged, "%s: %s", name, attack)
			requireRefused(t, path, name+": "+attack)
			after, err := os.ReadFile(path)
			require.NoError(t, err)
			require.Equal(t, forged, after, "%s: %s", name, attack)
		}
	}
}

// requireRefused holds that nobody opens a record, and that each is told what to do.
func requireRefused(t *testing.T, path, attack string) {
	t.Helper()
	_, err := Open(path)
	refusals := []error{err, Verify(path)}
	_, err = Append(path)
	refusals = append(refusals, err)
	_, err = Amend(path)
	for _, err := range append(refusals, err) {
		var e *Error
		require.ErrorAs(t, err, &e, attack)
		require.Contains(t, []Kind{Altered, Damaged, Newer, NotRecord}, e.Kind, "%s: %v", attack, err)
		require.NotEmpty(t, e.Hint(), attack)
	}
}

// Two tables of one shape that changed their rows are told by the chain.
func TestShape_TwoTablesThatChangedTheirRows(t *testing.T) {
	path := smallRecord(t)
	alterSchema(t, path, writable(`UPDATE sqlite_master SET rootpage = (SELECT sum(rootpage) FROM sqlite_master WHERE name IN ('documents', 'about')) - rootpage
		WHERE name IN ('documents', 'about')`))
	requireKind(t, Altered, Verify(path))
}

// A record in another encoding of texts says the same rows, and is none.
func TestShape_OfAnotherEncodingIsRefused(t *testing.T) {
	path := filepath.Join(t.TempDir(), "wide.arc")
	meddle(t, path, func(db *sql.DB) {
		for _, statement := range append([]string{"PRAGMA encoding = 'UTF-16le'"}, schema()...) {
			_, err := db.Exec(statement)
			require.NoError(t, err)
		}
		_, err := db.Exec("INSERT INTO commits (number, hash) VALUES (1, zeroblob(32))")
		require.NoError(t, err)
	})
	requireRefused(t, path, "UTF-16")
	_, err := Open(path)
	require.ErrorContains(t, err, "encoding is UTF-16le, where a record has UTF-8")
}

// The forgery by which a pass outside of its window came to be within it: a view shows
// one calibration more than the table has, whose id no query of the verification finds.
// Every hash stays as it is.
func TestShape_AViewThatTurnsOutsideIntoWithin(t *testing.T) {
	path := smallRecord(t)
	alterSchema(t, path, "ALTER TABLE calibrations RENAME TO kept")
	alterSchema(t, path, `CREATE VIEW calibrations AS SELECT * FROM kept UNION ALL
		SELECT NULL, 0, 0, 'voltage', 0.9, 0.0, 0.0, '', '', '', NULL`)
	_, err := Open(path)
	requireKind(t, Altered, err)
	require.ErrorContains(t, err, `it holds a table "kept"`)
	requireRefused(t, path, "a view over calibrations")

	r := &Reader{path: path, unzip: codec.NewUnpacker()} // as if nobody looked
	require.NoError(t, r.connect())
	require.NoError(t, r.whose())
	_, err = r.verify()
	require.NoError(t, err, "every hash is as it was")
	require.NoError(t, r.Close())
}

// The forgery by which a disposition was acknowledged and not stored.
func TestShape_ATriggerThatDropsWhatIsAcknowledged(t *testing.T) {
	const trigger = "CREATE TRIGGER keep AFTER INSERT ON entries BEGIN DELETE FROM entries WHERE id = NEW.id; END"
	path := peopledRecord(t)
	before := len(entriesOf(t, path))
	alterSchema(t, path, trigger)
	_, err := Amend(path)
	requireKind(t, Altered, err)
	require.ErrorContains(t, err, `it holds a trigger "keep" on "entries"`)
	requireRefused(t, path, "a trigger on entries")

	alterSchema(t, path, "DROP TRIGGER keep")
	w, err := Amend(path)
	require.NoError(t, err)
	alterSchema(t, path, trigger) // while it is open
	_, err = w.Entry("disposition", "Inspector 1", time.Unix(7, 0), "{}")
	require.NoError(t, err)
	require.ErrorContains(t, w.Sync(), `it holds a trigger "keep" on "entries"`)
	requireKind(t, Altered, w.Close())
	alterSchema(t, path, "DROP TRIGGER keep")
	require.NoError(t, Verify(path))
	require.Len(t, entriesOf(t, path), before)
}

// What changes no shape, as SQLite's own putting in order, stops nobody who writes.
func TestShape_ThatIsMadeAnewIsTheSame(t *testing.T) {
	w, path := unhurried(t)
	alterSchema(t, path, "DROP INDEX commits_by_tick; CREATE INDEX commits_by_tick ON commits (epoch, last_tick)")
	require.NoError(t, w.Event(series.Event{Kind: series.Remark}))
	require.NoError(t, w.Sync())
	require.NoError(t, w.Event(series.Event{Kind: series.Remark}))
	require.NoError(t, w.Close())
	require.NoError(t, Verify(path))
}

// strays are rows that belong to no commit group, in every table and before and behind
// all groups.
func strays(version int64) map[string]string {
	all := map[string]string{
		"a commit before all": "INSERT INTO commits (number, epoch, first_tick, last_tick, samples) VALUES (0, 0, 0, 5, 7)",
		"a commit below":      "INSERT INTO commits (number, epoch, first_tick, last_tick, samples) VALUES (-5, 0, 0, 5, 7)",
		"a commit far away":   "INSERT INTO commits (number, epoch, first_tick, last_tick, samples) VALUES (9223372036854775807, 0, 0, 5, 7)",
	}
	for _, t := range tablesOf(version) {
		for _, id := range []string{"-9223372036854775808", "-1", "0", "1", "1000000", "(SELECT max(number) + 1 FROM commits) * 1000000", "9223372036854775807"} {
			all[t.name+" "+id] = fmt.Sprintf("INSERT INTO %s (id) VALUES (%s)", t.name, id)
		}
	}
	return all
}

func TestShape_RowsOfNoGroupAreRefused(t *testing.T) {
	for name, original := range map[string]string{"new": smallRecord(t), "version 1": frozen(t, "version-1-capture.arctally")} {
		file, err := os.ReadFile(original)
		require.NoError(t, err)
		path := filepath.Join(t.TempDir(), "stray.arc")
		for stray, statement := range strays(versionOf(t, original)) {
			require.NoError(t, os.WriteFile(path, file, 0o600))
			alter(t, path, "PRAGMA synchronous = OFF; "+statement)
			requireRefused(t, path, name+": "+stray)
		}
	}
}

// Rows of no group that come while somebody reads are not read.
func TestShape_RowsOfNoGroupAreNotRead(t *testing.T) {
	w, path := unhurried(t)
	require.NoError(t, w.Source(box()))
	require.NoError(t, w.Block(arcBlock(5)))
	require.NoError(t, w.Check(&calib.Check{Subject: "zero", Channel: "voltage"}))
	require.NoError(t, w.Sync())
	r, err := Open(path)
	require.NoError(t, err)
	read := func() (all []any) {
		take := func(v any, err error) {
			require.NoError(t, err)
			all = append(all, v)
		}
		require.NoError(t, r.readMeta())
		require.NoError(t, r.readClock())
		take(r.meta, nil)
		take(r.fits, nil)
		take(r.Checks())
		take(r.Speakers())
		take(r.Calibrations())
		take(r.Events())
		take(r.Epochs())
		take(r.Parts())
		take(r.SeveralBoxes())
		take(r.Entries())
		take(r.Fingerprint())
		return all
	}
	want := read()
	for _, table := range tablesOf(latestVersion) {
		for _, id := range []string{"-5", "999999999999"} {
			alter(t, path, fmt.Sprintf("INSERT INTO %s (id) VALUES (%s)", table.name, id))
			require.Equal(t, want, read(), "%s %s", table.name, id)
		}
	}
	require.NoError(t, r.Close())
	require.NoError(t, w.Close())
	requireRefused(t, path, "rows of no group")
}
