package record

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"arctally/acquire/system"
)

// Kind names what is wrong with a record; the list only grows at its end.
type Kind uint8

// The kinds of error.
const (
	Failed     Kind = iota + 1 // the disk or SQLite refused an operation
	Exists                     // Create found a file of that name
	Missing                    // there is no such file
	Busy                       // another writer has the record open
	NotRecord                  // the file is no record of this program
	Truncated                  // the file is shorter than it says
	Newer                      // a later version of the program wrote it
	Damaged                    // the bytes contradict themselves
	Altered                    // tables or rows are not as they were written
	ReadOnly                   // the folder or file may not be written
	Unsafe                     // the disk cannot be trusted with a commit
	Closed                     // the writer or reader was closed before
	Changed                    // the record was written to while it was read as finished
	TooLarge                   // more than a record takes in one piece
	Incomplete                 // something that a record must know is missing
)

var kindWords = [...]string{
	Failed: "failed", Exists: "exists already", Missing: "missing", Busy: "busy", NotRecord: "not a record",
	Truncated: "cut short", Newer: "newer than this program", Damaged: "damaged", Altered: "altered",
	ReadOnly: "may not be written", Unsafe: "not safe to record to", Closed: "closed", Changed: "changed while it was read",
	TooLarge: "too large", Incomplete: "incomplete",
}

// String returns the words that stand in the error's text.
func (k Kind) String() string { return kindWords[k] }

var hints = [...]string{
	Failed:     "check the disk for space and errors, then go on in the same record: what was acknowledged is in it",
	Exists:     "choose another name, or go on in that record",
	Missing:    "check the name",
	Busy:       "another arctally records into this file: end that one first, or choose another name",
	NotRecord:  "check the name; a record is made by arctally record or arctally import",
	Truncated:  "copy the record again from where it was recorded, with the -wal file beside it if there is one",
	Newer:      "use the arctally that wrote it, or a later one",
	Damaged:    "copy the record again from where it was recorded; arctally verify names the first damaged place",
	Altered:    "somebody or something changed the record after it was written: use a copy that verifies",
	ReadOnly:   "copy the record, with the -wal file beside it if there is one, to a folder that you may write to",
	Unsafe:     "record to a local disk; network folders often cannot keep what they acknowledge",
	Closed:     "",
	Changed:    "open the record again",
	TooLarge:   "save the photograph with fewer pixels or more compression; say a long text in several entries",
	Incomplete: "say what is missing, and add it again",
}

// Error is what went wrong with a record.
type Error struct {
	Kind   Kind
	Path   string
	Commit int64  // number of the commit group; 0 where it is not about one
	Row    int64  // id of the row in its table; 0 where it is not about one
	Detail string // what was found
	Err    error  // the cause; may be nil
}

// Error returns the path, the kind, the place and the cause in one line.
func (e *Error) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "record %s: %s", e.Path, e.Kind)
	if e.Commit != 0 {
		fmt.Fprintf(&b, ", commit %d", e.Commit)
	}
	if e.Row != 0 {
		fmt.Fprintf(&b, ", row %d", e.Row)
	}
	if e.Detail != "" {
		fmt.Fprintf(&b, ": %s", e.Detail)
	}
	if e.Err != nil {
		fmt.Fprintf(&b, ": %v", e.Err)
	}
	return b.String()
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// Hint says what an operator can do; it may be empty.
func (e *Error) Hint() string { return hints[e.Kind] }

// NoRoom reports whether an error is that the disk is full: what was acknowledged is in the
// record, and it can be gone on with once there is room.
func NoRoom(err error) bool {
	var s *sqlite.Error
	return system.NoRoom(err) || errors.As(err, &s) && s.Code()&0xff == sqlite3.SQLITE_FULL
}

// also returns err, and what went wrong after it while cleaning up.
func also(err, after error) error {
	switch {
	case after == nil:
		return err
	case err == nil:
		return after
	default:
		return errors.Join(err, after)
	}
}

// wrap gives an error of SQLite or the file system its kind.
func wrap(path, doing string, err error) error {
	var own *Error
	if err == nil || errors.As(err, &own) || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return &Error{Kind: kindOf(err), Path: path, Detail: doing, Err: err}
}

// single returns err with a kind: the first that it holds.
func single(path string, err error) error {
	var own *Error
	if errors.As(err, &own) {
		return own
	}
	return wrap(path, "close", err)
}

func kindOf(err error) Kind {
	switch {
	case errors.Is(err, fs.ErrExist):
		return Exists
	case errors.Is(err, fs.ErrNotExist):
		return Missing
	case errors.Is(err, fs.ErrPermission), system.ReadOnly(err):
		return ReadOnly
	case system.InUse(err):
		return Busy
	}
	var s *sqlite.Error
	if !errors.As(err, &s) {
		return Failed
	}
	switch s.Code() & 0xff { // the low byte is the primary code, the rest its refinement
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return Busy
	case sqlite3.SQLITE_NOTADB:
		return NotRecord
	case sqlite3.SQLITE_CORRUPT:
		return Damaged
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM:
		return ReadOnly
	default:
		return Failed
	}
}
