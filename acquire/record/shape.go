package record

import (
	"context"
	"database/sql"
	"fmt"
	"math"
	"slices"
	"strings"
)

// The chain covers rows, not what SQLite makes of them. A view in the place of a table
// shows other rows than those that were hashed; a trigger undoes what was written a
// moment ago; a column of another type turns a number into a text. So a file is a
// record only while it holds the tables and indexes of its version, to the letter, and
// nothing else.

// object is what a row of SQLite's own table says: something that the file holds.
type object struct{ kind, name, table, made string }

// objectsOf returns what a record of a version holds.
func objectsOf(version int64) []object {
	var all []object
	for _, statement := range made(1, version) {
		words := strings.Fields(statement) // CREATE TABLE name (... or CREATE INDEX name ON table (...
		o := object{strings.ToLower(words[1]), words[2], words[2], statement}
		if o.kind == "index" {
			o.table = words[4]
		}
		all = append(all, o)
	}
	return all
}

// inspect returns the version of the format, and refuses a file that is no record of
// it. It must be the first that is asked of a connection: no query before it may touch
// a table, which a forger may have replaced.
func inspect(ctx context.Context, path string, conn *sql.Conn) (s shape, err error) {
	// One transaction, in which nobody upgrades the record.
	if _, err := conn.ExecContext(ctx, "BEGIN"); err != nil {
		return s, wrap(path, "read", err)
	}
	s.version, err = inspected(ctx, path, conn)
	if err == nil {
		s.changes, err = changesOf(ctx, path, conn)
	}
	_, ended := conn.ExecContext(ctx, "ROLLBACK")
	return s, also(err, wrap(path, "read", ended))
}

// shape is what a file was found to be.
type shape struct {
	version int64 // of the format
	changes int64 // a number that SQLite counts up whenever somebody makes or drops something
}

func changesOf(ctx context.Context, path string, conn *sql.Conn) (changes int64, err error) {
	err = conn.QueryRowContext(ctx, "PRAGMA schema_version").Scan(&changes)
	return changes, wrap(path, "read", err)
}

// inspected is inspect within a transaction.
func inspected(ctx context.Context, path string, conn *sql.Conn) (int64, error) {
	version, err := identify(ctx, path, conn)
	if err != nil {
		return 0, err
	}
	differs := func(detail string, err error) error {
		if err != nil {
			return wrap(path, "read", err)
		}
		return &Error{Kind: Altered, Path: path, Detail: detail}
	}
	if detail, err := settingsDiffer(ctx, conn); detail != "" || err != nil {
		return 0, differs(detail, err)
	}
	held, err := objectsIn(ctx, conn)
	if err != nil {
		return 0, wrap(path, "read", err)
	}
	if detail := objectsDiffer(held, version); detail != "" {
		return 0, differs(detail, nil)
	}
	if detail, err := idsDiffer(ctx, conn, version); detail != "" || err != nil {
		return 0, differs(detail, err)
	}
	return version, nil
}

// settings are what the head of the file says beside its version, as every record has it.
var settings = [][2]string{{"encoding", "UTF-8"}, {"auto_vacuum", "0"}}

func settingsDiffer(ctx context.Context, conn *sql.Conn) (string, error) {
	for _, s := range settings {
		var set string
		if err := conn.QueryRowContext(ctx, "PRAGMA "+s[0]).Scan(&set); err != nil {
			return "", err
		}
		if set != s[1] {
			return fmt.Sprintf("%s is %s, where a record has %s", s[0], set, s[1]), nil
		}
	}
	return "", nil
}

// heldObject is an object as it is in the file, with the page at which its rows begin.
type heldObject struct {
	object
	root int64
}

func objectsIn(ctx context.Context, conn *sql.Conn) (held []heldObject, err error) {
	rows, err := conn.QueryContext(ctx, "SELECT type, name, tbl_name, sql, rootpage FROM main.sqlite_master ORDER BY rowid")
	if err != nil {
		return nil, err
	}
	for rows.Next() {
		var texts [4]sql.NullString
		var root sql.NullInt64
		if err := rows.Scan(&texts[0], &texts[1], &texts[2], &texts[3], &root); err != nil {
			return nil, also(err, rows.Close())
		}
		held = append(held, heldObject{object{texts[0].String, texts[1].String, texts[2].String, texts[3].String}, root.Int64})
	}
	return held, also(rows.Err(), rows.Close())
}

// objectsDiffer says what a file holds that a record of the version does not, or not so;
// empty is nothing.
func objectsDiffer(held []heldObject, version int64) string {
	missing := objectsOf(version)
	roots := map[int64]bool{}
	for _, h := range held {
		at := slices.IndexFunc(missing, func(o object) bool { return o.kind == h.kind && o.name == h.name })
		if at < 0 {
			return fmt.Sprintf("it holds a %s %q on %q, which no record of version %d does", h.kind, h.name, h.table, version)
		}
		if missing[at] != h.object {
			return fmt.Sprintf("its %s %s is not made as that of version %d: %s", h.kind, h.name, version, parting(missing[at].made, h.made))
		}
		if roots[h.root] || h.root < 2 {
			return fmt.Sprintf("its %s %s has the page of another one", h.kind, h.name)
		}
		roots[h.root] = true
		missing = slices.Delete(missing, at, at+1)
	}
	if len(missing) > 0 {
		return fmt.Sprintf("its %s %s is missing", missing[0].kind, missing[0].name)
	}
	return ""
}

// parting says where one text begins to be another.
func parting(want, got string) string {
	at := 0
	for at < len(want) && at < len(got) && want[at] == got[at] {
		at++
	}
	const shown = 40
	piece := func(text string) string { return text[max(0, at-shown/2):min(len(text), at+shown/2)] }
	return fmt.Sprintf("%q in the place of %q", piece(got), piece(want))
}

// idsDiffer says which table has rows that belong to no commit group, before the first
// or after the last.
func idsDiffer(ctx context.Context, conn *sql.Conn, version int64) (string, error) {
	var first, last sql.NullInt64
	if err := conn.QueryRowContext(ctx, "SELECT (SELECT min(number) FROM commits), (SELECT max(number) FROM commits)").Scan(&first, &last); err != nil {
		return "", err
	}
	if !first.Valid || first.Int64 != 1 || last.Int64 >= math.MaxInt64/idsPerCommit {
		return fmt.Sprintf("its commits are numbered from %d through %d", first.Int64, last.Int64), nil
	}
	for _, t := range tablesOf(version) {
		var low, high sql.NullInt64
		query := fmt.Sprintf("SELECT (SELECT min(id) FROM %[1]s), (SELECT max(id) FROM %[1]s)", t.name)
		if err := conn.QueryRowContext(ctx, query).Scan(&low, &high); err != nil {
			return "", err
		}
		if low.Valid && (low.Int64 <= idsPerCommit || high.Int64/idsPerCommit > last.Int64) {
			return fmt.Sprintf("rows in %s belong to no commit", t.name), nil
		}
	}
	return "", nil
}

// ofGroups is true, to SQL, for the rows of commit groups that are there: whoever adds
// others while a record is open is not read.
const ofGroups = "id BETWEEN 1000001 AND (SELECT max(number) FROM commits) * 1000000 + 999999"

// unbent refuses, within a transaction, a file that somebody gave another shape while it
// was written: his trigger must not undo what is acknowledged as durable.
func (c *committer) unbent() error {
	ctx := context.Background()
	changes, err := changesOf(ctx, c.path, c.conn)
	if err != nil || changes == c.changes {
		return err
	}
	_, err = inspected(ctx, c.path, c.conn)
	c.changes = changes
	return err
}

// inspectFile is inspect for who has no connection of his own.
func inspectFile(path string, db *sql.DB) error {
	ctx := context.Background()
	conn, err := db.Conn(ctx)
	if err != nil {
		return wrap(path, "open", err)
	}
	_, err = inspect(ctx, path, conn)
	return also(err, wrap(path, "open", conn.Close()))
}
