package handover

import (
	"context"
	"errors"
	"fmt"
)

// Kind names what is wrong; the list only grows at its end.
type Kind uint8

// The kinds of error.
const (
	Failed      Kind = iota + 1 // the store refused an operation, and none of the others tells why
	Unnamed                     // it cannot be told which store is meant, or how it is reached
	Refused                     // the store does not take the keys
	Forbidden                   // it takes them, and does not allow what was asked for
	Skewed                      // the clocks of store and machine are too far apart
	Full                        // there is no room
	Unreachable                 // nobody answers
	Missing                     // there is no such bundle or file
	Torn                        // the bundle has no manifest yet
	There                       // something is there already, with other bytes
	Unfit                       // the manifest is none, or one that leads out of its bundle
	Newer                       // a later version of the program made it
	Differs                     // a file is not what the manifest says
	NoBucket                    // there is no such bucket
)

var hints = [...]string{
	Failed:      "try it again; what was given stays given",
	Unnamed:     "name a folder, or s3://BUCKET/PREFIX with the store's keys in the environment",
	Refused:     "look at AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY: the store does not know this pair",
	Forbidden:   "ask who keeps the store to let these keys list, read and write there",
	Skewed:      "set the clock of this machine, and try it again",
	Full:        "make room in the store, and try it again: it goes on where it stopped",
	Unreachable: "look at the network and at AWS_ENDPOINT_URL, and try it again: it goes on where it stopped",
	Missing:     "check the name",
	Torn:        "hand the record over again: it goes on where it stopped",
	There:       "nothing was written over: find out who put it there; a bundle without a manifest that another version of the program began may be moved away",
	Unfit:       "take it from where it was handed over, or hand the record over again",
	Newer:       "use the arctally that made it, or a later one",
	Differs:     "somebody or something changed the bundle after it was handed over: take it from another copy",
	NoBucket:    "check the name of the bucket: this program makes none",
}

// Error is what went wrong with a store or with a bundle.
type Error struct {
	Kind  Kind
	Where string // the store, the bundle or the file
	Text  string // what is wrong; left out, that of the cause
	Err   error  // the cause; may be nil
}

// Error returns the place and what is wrong in one line.
func (e *Error) Error() string {
	switch {
	case e.Err == nil:
		return e.Where + ": " + e.Text
	case e.Text == "":
		return fmt.Sprintf("%s: %v", e.Where, e.Err)
	default:
		return fmt.Sprintf("%s: %s: %v", e.Where, e.Text, e.Err)
	}
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// Hint says what an operator can do.
func (e *Error) Hint() string { return hints[e.Kind] }

// Lasting tells whether the same thing asked again would fail again, until somebody has done something
// about it here or in the bundle.
func (e *Error) Lasting() bool {
	switch e.Kind {
	case There, Unfit, Newer, Differs:
		return true
	default:
		return false
	}
}

// OfStore tells whether it is the store that fails, so that asking for another bundle would too.
func (e *Error) OfStore() bool {
	switch e.Kind {
	case Refused, Skewed, Unreachable, NoBucket:
		return true
	default:
		return false
	}
}

// isKind tells whether an error is one of a kind.
func isKind(err error, k Kind) bool {
	own, ok := errors.AsType[*Error](err)
	return ok && own.Kind == k
}

// ended tells whether an error is that nobody waits any more.
func ended(err error) bool { return errors.Is(err, context.Canceled) }
