package explain

import (
	"errors"
	"strings"
)

// Kind is what sort of error it is, for whoever has to answer with it.
type Kind uint8

// The kinds of error. What is none of them is a failure of this machine.
const (
	Failure  Kind = iota
	NotThere      // what is asked for does not exist
	InTheWay      // something that is there, or runs, does not let it be done
	Unfit         // what was given cannot be taken as it is
)

// Error is an error that the program itself makes, with what to do about it.
type Error struct {
	Kind   Kind
	Text   string // what is wrong; left out, that of the cause
	Next   string // what to do; may be empty
	OnPage string // what to do before a page, where that is something else
	Cause  error  // what lies beneath; may be nil
}

// Error implements error.
func (e *Error) Error() string {
	if e.Text == "" && e.Cause != nil {
		return e.Cause.Error()
	}
	return e.Text
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Cause }

// Hint says what to do.
func (e *Error) Hint() string { return e.Next }

// MisuseError is a command line, or what was filled in on a page, that cannot be carried
// out as it stands.
type MisuseError struct {
	Command string // empty where none was given that is known
	Text    string
}

// Error implements error.
func (e *MisuseError) Error() string { return e.Text }

// Hint says where to read how it is done.
func (e *MisuseError) Hint() string {
	return strings.Join(strings.Fields("arctally "+e.Command+" --help"), " ")
}

// How a command says that it is done, and that all is not well.
var (
	ErrFindingsOpen = errors.New("findings are open") // somebody has to look at the bore
	ErrNotProved    = errors.New("not every pass is proved")
	ErrRunOut       = errors.New("calibrations have run out")
)
