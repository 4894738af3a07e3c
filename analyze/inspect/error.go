package inspect

import (
	"fmt"
	"strings"
)

// Error is an entry that cannot be put on record as it is.
type Error struct {
	Field  string // as the text of an entry calls it
	Reason string // what is wrong with it
	Next   string // what to do
}

// Error returns the field and what is wrong with it.
func (e *Error) Error() string {
	if e.Field == "" {
		return e.Reason
	}
	return e.Field + ": " + e.Reason
}

// Hint says what to do.
func (e *Error) Hint() string { return e.Next }

func fail(field, next, format string, arg ...any) *Error {
	return &Error{Field: field, Reason: fmt.Sprintf(format, arg...), Next: next}
}

// oneOf refuses a word that is not among those of a list.
func oneOf[W ~string](field string, word W, words []W) error {
	list := make([]string, len(words))
	for k, w := range words {
		if list[k] = string(w); w == word {
			return nil
		}
	}
	next := "write one of: " + strings.Join(list, ", ")
	if word == "" {
		return fail(field, next, "it is missing")
	}
	return fail(field, next, "%.80q is not known", string(word))
}
