package record

import (
	"context"
	"database/sql"
	"fmt"
	"net/url"
	"path/filepath"

	_ "modernc.org/sqlite" // the driver "sqlite"
)

// Oldest SQLite that may write a record: before it, a WAL that was reset while
// another connection read could lose commits.
var oldestSQLite = [3]int{3, 51, 3}

// The queries of the ways to open a file. A lock that another connection holds is
// waited for, in ms, for no longer than the queue has memory. Until the "-wal" file is
// in use, EXTRA makes durable that a journal is gone too: one that came back after a
// power cut would undo what it was for.
const (
	forMaking  = "_pragma=synchronous(EXTRA)"
	forWriting = "_pragma=busy_timeout(30000)&_pragma=synchronous(EXTRA)&_pragma=wal_autocheckpoint(4096)"
	forReading = "mode=ro&_pragma=busy_timeout(30000)"
)

// connect opens the file with one connection. The query is SQLite's URI query.
func connect(path, query string) (*sql.DB, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return nil, wrap(path, "find", err)
	}
	u := url.URL{Scheme: "file", OmitHost: true, Path: uriPath(full), RawQuery: query}
	db, err := sql.Open("sqlite", u.String())
	if err != nil {
		return nil, wrap(path, "open", err)
	}
	db.SetMaxOpenConns(1)
	return db, nil
}

// uriPath is a full path as a URI has it: of Windows "C:\\a" that is "/C:/a".
func uriPath(full string) string {
	if path := filepath.ToSlash(full); filepath.VolumeName(full) != "" {
		return "/" + path
	}
	return full
}

// journal sets and reads back what a commit's durability rests on.
func journal(ctx context.Context, path string, conn *sql.Conn) error {
	var version, mode string
	var synchronous int
	if err := conn.QueryRowContext(ctx, "SELECT sqlite_version()").Scan(&version); err != nil {
		return wrap(path, "ask SQLite's version", err)
	}
	if err := conn.QueryRowContext(ctx, "PRAGMA journal_mode = WAL").Scan(&mode); err != nil {
		return wrap(path, "set the journal mode", err)
	}
	if _, err := conn.ExecContext(ctx, "PRAGMA synchronous = FULL"); err != nil {
		return wrap(path, "set synchronous", err)
	}
	if err := conn.QueryRowContext(ctx, "PRAGMA synchronous").Scan(&synchronous); err != nil {
		return wrap(path, "read synchronous back", err)
	}
	return trust(path, version, mode, synchronous)
}

// synchronousFull is SQLite's number for synchronous=FULL.
const synchronousFull = 2

// trust refuses what could lose an acknowledged commit.
func trust(path, version, mode string, synchronous int) error {
	refuse := func(format string, args ...any) error {
		return &Error{Kind: Unsafe, Path: path, Detail: fmt.Sprintf(format, args...)}
	}
	var v [3]int
	if _, err := fmt.Sscanf(version, "%d.%d.%d", &v[0], &v[1], &v[2]); err != nil {
		return refuse("SQLite calls itself %q", version)
	}
	switch {
	case v[0] < oldestSQLite[0],
		v[0] == oldestSQLite[0] && v[1] < oldestSQLite[1],
		v[0] == oldestSQLite[0] && v[1] == oldestSQLite[1] && v[2] < oldestSQLite[2]:
		return refuse("SQLite %s is older than 3.51.3", version)
	case mode != "wal":
		return refuse("the journal mode is %q and not wal", mode)
	case synchronous != synchronousFull:
		return refuse("synchronous is %d and not FULL", synchronous)
	}
	return nil
}

// querier is a connection or a pool of them.
type querier interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// identify returns the version of the format, and refuses a file that is no
// record, or one of a later format.
func identify(ctx context.Context, path string, db querier) (version int64, err error) {
	var application int64
	if err := db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&application); err != nil {
		return 0, wrap(path, "read", err)
	}
	if err := db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return 0, wrap(path, "read", err)
	}
	switch {
	case application != applicationID:
		return 0, &Error{Kind: NotRecord, Path: path, Detail: "an SQLite file, but of another program or empty"}
	case version > latestVersion:
		return 0, &Error{Kind: Newer, Path: path, Detail: fmt.Sprintf("format version %d, this program reads up to %d", version, latestVersion)}
	case version < 1:
		return 0, &Error{Kind: NotRecord, Path: path, Detail: fmt.Sprintf("format version %d", version)}
	}
	return version, nil
}
