package picture

import "fmt"

// Error is a photograph that cannot be taken or shown.
type Error struct{ text, hint string }

// Error implements error.
func (e *Error) Error() string { return "photograph: " + e.text }

// Hint says what would do.
func (e *Error) Hint() string { return e.hint }

func refuse(hint, format string, arg ...any) error {
	return &Error{fmt.Sprintf(format, arg...), hint}
}
