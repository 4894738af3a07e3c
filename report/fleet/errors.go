package fleet

import (
	"errors"
	"fmt"
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

// DatabaseError is a database that is no fleet of this program.
type DatabaseError struct {
	Name, Text, Next string
}

// Error implements error.
func (e *DatabaseError) Error() string { return e.Name + ": " + e.Text }

// Hint says what to do.
func (e *DatabaseError) Hint() string { return e.Next }

// failed wraps what an engine says.
func (f *Fleet) failed(doing string, err error) error {
	if _, told := errors.AsType[*DatabaseError](err); err == nil || told {
		return err
	}
	return fmt.Errorf("%s: %s: %w", f.name, doing, err)
}
