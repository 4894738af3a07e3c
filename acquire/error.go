package acquire

import (
	"errors"
	"fmt"
)

// Kind tells the causes of an error apart.
type Kind uint8

// The kinds of error.
const (
	NoFrames   Kind = iota + 1 // bytes came, but nothing that the link allows
	ReadFailed                 // the line failed
)

// Error is a link that cannot be recorded.
type Error struct {
	Kind  Kind
	Link  string
	Bytes int64 // read so far
	Err   error // the first damage, or the failure of the line; may be nil
}

// Error returns the kind, the link and the cause.
func (e *Error) Error() string {
	text := fmt.Sprintf("reading the %s link failed after %d bytes", e.Link, e.Bytes)
	if e.Kind == NoFrames {
		text = fmt.Sprintf("no valid frame of the %s link in %d bytes", e.Link, e.Bytes)
	}
	if e.Err != nil {
		text += ": " + e.Err.Error()
	}
	return text
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// hintOf is what an error, or what caused it, says to do next.
func hintOf(err error) (hint string, has bool) {
	var hinting interface{ Hint() string }
	if !errors.As(err, &hinting) {
		return "", false
	}
	return hinting.Hint(), true
}

// Hint returns what the operator can do next.
func (e *Error) Hint() string {
	if hint, has := hintOf(e.Err); has { // the cause knows better
		return hint
	}
	if e.Kind == NoFrames {
		return "is the baud rate or the link wrong? \"arctally links\" says who speaks on which port, by which link and baud, and prints the \"sensors\" lines for the job file"
	}
	return "check the cable and the supply of the sensor box (\"arctally links\" says who speaks), then record again"
}
