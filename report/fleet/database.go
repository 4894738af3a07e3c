package fleet

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"net"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
	_ "modernc.org/sqlite" // the driver "sqlite"
)

// Fleet is a database of results. Its methods may be called from several goroutines, and
// several programs may use one database.
type Fleet struct {
	db     *sql.DB
	engine *engine
	name   string // for people, without a password
}

// engine is in what the two differ.
type engine struct {
	words     *strings.Replacer // what the schema leaves open
	parameter string            // how $1 is written
	lock      string            // holds others off until the transaction ends; empty: beginning it does
	prelude   []string          // before the tables
	comments  bool              // a column may have a comment
}

var (
	postgres = engine{
		words: strings.NewReplacer("{text}", `TEXT COLLATE "C"`, "{time}", "timestamptz"), parameter: "$$$1",
		lock: "SELECT pg_advisory_xact_lock(7021781)", prelude: []string{"CREATE SCHEMA IF NOT EXISTS " + schemaName}, comments: true,
	}
	sqlite = engine{words: strings.NewReplacer("{text}", "TEXT", "{time}", "TEXT"), parameter: "?$1"}
)

const (
	// schemaName is where the tables lie in PostgreSQL.
	schemaName = "arctally"
	// FileName is the database of a folder.
	FileName = "fleet.sqlite"
	// applicationID marks an SQLite file as a fleet: the letters "arcf".
	applicationID = 0x61726366
)

// IsServer tells an address of PostgreSQL from the name of a file or folder.
func IsServer(address string) bool {
	return strings.HasPrefix(address, "postgres://") || strings.HasPrefix(address, "postgresql://")
}

// Open opens a fleet for taking in, and makes what is missing: the tables, or the file in a
// folder. The caller closes it.
func Open(ctx context.Context, address string) (*Fleet, error) {
	f, err := connect(address, true)
	if err != nil {
		return nil, err
	}
	if err := f.migrate(ctx, migrations()); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}

// Ask opens a fleet for questions, and makes nothing. The caller closes it.
func Ask(ctx context.Context, address string) (*Fleet, error) {
	f, err := connect(address, false)
	if err != nil {
		return nil, err
	}
	if err := f.ready(ctx, migrations()); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}

// Name is what people call the database, without a password.
func (f *Fleet) Name() string { return f.name }

// Close ends the connections.
func (f *Fleet) Close() error { return f.failed("close", f.db.Close()) }

func connect(address string, create bool) (*Fleet, error) {
	if IsServer(address) {
		return connectServer(address)
	}
	return connectFile(address, create)
}

func connectServer(address string) (*Fleet, error) {
	config, err := pgx.ParseConfig(address)
	if err != nil {
		// What is wrong with it is not repeated: a password may stand anywhere in an address that cannot be read.
		return nil, &DatabaseError{"the database", "its address cannot be read", "write it as postgres://USER@HOST:PORT/DATABASE, with %40, %3A and %2F for @, : and / in a password", nil}
	}
	config.RuntimeParams["search_path"] = schemaName
	config.RuntimeParams["application_name"] = "arctally"
	return &Fleet{stdlib.OpenDB(*config), &postgres, nameOf(config)}, nil
}

// nameOf is made of what was understood, so that nothing else of the address is in it.
func nameOf(c *pgx.ConnConfig) string {
	u := url.URL{Scheme: "postgres", User: url.User(c.User), Path: "/" + c.Database}
	if strings.HasPrefix(c.Host, "/") { // a folder with a socket in it
		return u.String() + "?host=" + c.Host
	}
	u.Host = net.JoinHostPort(c.Host, strconv.Itoa(int(c.Port)))
	return u.String()
}

func connectFile(file string, create bool) (*Fleet, error) {
	if info, err := os.Stat(file); err == nil && info.IsDir() {
		file = filepath.Join(file, FileName)
	}
	mode := "rw"
	if create {
		mode = "rwc&_txlock=immediate"
	} else if _, err := os.Stat(file); errors.Is(err, fs.ErrNotExist) {
		return nil, &DatabaseError{file, "nothing was taken in here yet", "arctally fleet take-in FOLDER --into " + file, nil}
	}
	full, err := filepath.Abs(file)
	if err != nil {
		return nil, err
	}
	if full = filepath.ToSlash(full); full[0] != '/' {
		full = "/" + full // a volume of Windows
	}
	address := url.URL{Scheme: "file", Path: full, RawQuery: "mode=" + mode + "&_pragma=busy_timeout(120000)" +
		"&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)&_pragma=foreign_keys(1)"}
	db, err := sql.Open("sqlite", address.String())
	if err != nil {
		return nil, err
	}
	return &Fleet{db, &sqlite, file}, nil
}

var placeholder = regexp.MustCompile(`\$(\d+)`)

// sql is a statement as the engine wants it.
func (f *Fleet) sql(text string) string {
	return placeholder.ReplaceAllString(f.engine.words.Replace(text), f.engine.parameter)
}

// within does work in a transaction that keeps others from writing.
func (f *Fleet) within(ctx context.Context, work func(*sql.Tx) error) (err error) {
	tx, err := f.db.BeginTx(ctx, nil)
	if err != nil {
		return f.failed("begin", err)
	}
	if f.engine.lock != "" {
		_, err = tx.ExecContext(ctx, f.engine.lock)
	}
	if err == nil {
		err = work(tx)
	}
	if err != nil {
		return errors.Join(f.failed("write", err), ignoreDone(tx.Rollback()))
	}
	return f.failed("commit", tx.Commit())
}

// ignoreDone leaves out that a transaction had ended already.
func ignoreDone(err error) error {
	if errors.Is(err, sql.ErrTxDone) {
		return nil
	}
	return err
}
