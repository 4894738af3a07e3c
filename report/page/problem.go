package page

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"net/http"
	"time"
)

// Problem is an error with the answer that it becomes.
type Problem struct {
	Status  int // of HTTP
	Message string
	Hint    string // what to do next
	Fields  []FieldProblem
	Wait    time.Duration // after which to try again; 0 is not said
}

// FieldProblem is what is wrong with one field of a request. Where its value is only
// doubted, Keep is what says it again on purpose.
type FieldProblem struct {
	Field string `json:"field"`
	Error string `json:"error"`
	Keep  string `json:"keep,omitempty"`
}

// Error implements error.
func (p *Problem) Error() string { return p.Message }

// Explain gives any other error its status and its hint.
type Explain func(err error) (status int, hint string)

// ErrChanged is a file that is not what the writer read.
var ErrChanged = errors.New("somebody else has changed the file meanwhile")

// Version is what a writer takes a file to be before it writes: the ETag that was
// read, or a file that is not there yet.
type Version struct {
	ETag string
	New  bool
}

// Holds tells whether a file is still as the writer takes it; a text of nil is no file.
func (v Version) Holds(text []byte) bool {
	if text == nil {
		return v.New
	}
	return !v.New && v.ETag == ETag(text)
}

// ETag names the version of a text.
func ETag(text []byte) string {
	sum := sha256.Sum256(text)
	return `"` + hex.EncodeToString(sum[:16]) + `"`
}

// trouble is an error as the pages read it.
type trouble struct {
	Error  string         `json:"error"`
	Hint   string         `json:"hint"`
	Fields []FieldProblem `json:"fields,omitempty"`
}

var errGone = &Problem{Status: http.StatusPreconditionFailed, Message: ErrChanged.Error(), Hint: "load the file again, and make the change once more"}

func unprocessable(message, hint string, fields ...FieldProblem) *Problem {
	return &Problem{Status: http.StatusUnprocessableEntity, Message: message, Hint: hint, Fields: fields}
}
