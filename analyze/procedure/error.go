package procedure

import (
	"fmt"
	"slices"
	"strings"
)

// Error reports one thing in a document that cannot be, and where it stands.
type Error struct {
	File   string
	Line   int // from 1
	Column int // from 1, in characters
	Reason string
}

// Error returns the place as editors read it, and the reason.
func (e *Error) Error() string {
	return fmt.Sprintf("%s:%d:%d: %s", e.File, e.Line, e.Column, e.Reason)
}

// Hint says where to go.
func (e *Error) Hint() string { return "mend the file at the line and column shown" }

// Errors is everything that is wrong in one document, in the order of its lines,
// so that a person mends it in one go. It is never empty.
type Errors []*Error

// Error returns one line for each error.
func (e Errors) Error() string {
	lines := make([]string, len(e))
	for i, one := range e {
		lines[i] = one.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns the errors one by one, for errors.As.
func (e Errors) Unwrap() []error {
	all := make([]error, len(e))
	for i, one := range e {
		all[i] = one
	}
	return all
}

// sorted returns the errors by their place, or nil where there are none.
func (e Errors) sorted() error {
	if len(e) == 0 {
		return nil
	}
	slices.SortStableFunc(e, func(a, b *Error) int {
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return a.Column - b.Column
	})
	return e
}
