package fleet

import (
	"context"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"net"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"
)

// ResultsError is results that cannot be taken in.
type ResultsError struct {
	Name  string // of what they were read from
	Field string // empty is all of it
	Text  string
	Cause error // may be nil
}

// Error implements error.
func (e *ResultsError) Error() string {
	text := e.Name + ": "
	if e.Field != "" {
		text += e.Field + ": "
	}
	if e.Cause != nil {
		return text + e.Text + ": " + e.Cause.Error()
	}
	return text + e.Text
}

// Unwrap returns the cause.
func (e *ResultsError) Unwrap() error { return e.Cause }

// Hint says what to do.
func (*ResultsError) Hint() string {
	return `write the results anew from the record: arctally export RECORD --format json`
}

// DatabaseError is a database that is no fleet of this program, or cannot be reached.
type DatabaseError struct {
	Name, Text, Next string
	Cause            error // what an engine said that gives no answer; nil is no such thing
}

// Error implements error.
func (e *DatabaseError) Error() string {
	if e.Cause != nil {
		return e.Name + ": " + e.Text + ": " + e.Cause.Error()
	}
	return e.Name + ": " + e.Text
}

// Unwrap returns the cause.
func (e *DatabaseError) Unwrap() error { return e.Cause }

// Hint says what to do.
func (e *DatabaseError) Hint() string { return e.Next }

// failed wraps what an engine says.
func (f *Fleet) failed(doing string, err error) error {
	_, told := errors.AsType[*DatabaseError](err)
	switch {
	case err == nil || told:
		return err
	case f.engine == &postgres && isLost(err):
		return &DatabaseError{f.name, doing + ": no connection to the server", "see whether the server runs and lets you in, and try it again: what was taken in stays so", err}
	default:
		return fmt.Errorf("%s: %s: %w", f.name, doing, err)
	}
}

// isLost tells whether a server ends, or does not answer, which by the documents of PostgreSQL it says by
// the classes 08 and 57P; what it says of a statement is something else.
func isLost(err error) bool {
	if errors.Is(err, context.Canceled) {
		return false
	}
	if _, refused := errors.AsType[*pgconn.ConnectError](err); refused {
		return true
	}
	if said, ok := errors.AsType[*pgconn.PgError](err); ok {
		return strings.HasPrefix(said.Code, "08") || strings.HasPrefix(said.Code, "57P")
	}
	_, network := errors.AsType[net.Error](err)
	return network || pgconn.SafeToRetry(err) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, driver.ErrBadConn)
}
