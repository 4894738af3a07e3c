package apart

import (
	"errors"
	"fmt"
	"net/http"
	"strings"

	"arctally/cmd/internal/explain"
)

// Far is an error that was made at the other end of the line, as it is told here.
type Far struct {
	Text   string `json:"text"`
	Next   string `json:"next"`
	OnPage string `json:"on_page"`
	Status int    `json:"status"` // of the answer to a page
}

// farOf is an error as it goes over the line; nil is none.
func farOf(err error) *Far {
	if err == nil {
		return nil
	}
	o := explain.Of(err)
	return &Far{Text: cutShort(err.Error()), Next: o.Hint, OnPage: o.OnPage, Status: o.HTTP}
}

// longestText is how much of an error is told, in bytes.
const longestText = 2000

func cutShort(text string) string {
	if len(text) > longestText {
		return strings.ToValidUTF8(text[:longestText], "") + " ..."
	}
	return text
}

// kinds are those of errors by the status of their answer; any other is a failure of this machine.
var kinds = map[int]explain.Kind{
	http.StatusNotFound: explain.NotThere, http.StatusConflict: explain.InTheWay,
	http.StatusUnprocessableEntity: explain.Unfit, http.StatusRequestEntityTooLarge: explain.Unfit,
}

// err is the error that was told; nil is none.
func (f *Far) err() error {
	if f == nil {
		return nil
	}
	return &explain.Error{Kind: kinds[f.Status], Text: f.Text, Next: f.Next, OnPage: f.OnPage}
}

// ErrAway is said while no recorder can answer.
var ErrAway error = &explain.Error{
	Kind: explain.InTheWay, Text: "the recorder does not answer: it has died, and is being started again", OnPage: "wait a moment, and try again",
}

// errNoHello is a recorder that never came to speak.
var errNoHello = errors.New("the recorder ended before it said anything")

// What is answered while the recorder is silent.
var (
	errSilent error = &explain.Error{
		Kind: explain.InTheWay, Text: "the recorder says nothing at present: it was not asked", OnPage: "wait until it goes on, and try again",
	}
	errUnanswered error = &explain.Error{
		Kind: explain.InTheWay, Text: "the recorder has not answered: what was asked for may be done when it goes on", OnPage: "look whether it was done before you try again",
	}
)

// errHung is a recorder of another front that says nothing to this one.
func errHung(process int) error {
	e := &explain.Error{
		Kind: explain.InTheWay, Text: fmt.Sprintf("a recorder of this folder is there, and has said nothing for %s", patient.end),
		Next: "end it, and start again: what it had stored is whole",
	}
	if process > 0 {
		e.Next = fmt.Sprintf("end it with "+killWords+", and start again: what it had stored is whole", process)
	}
	return e
}

// OtherBuild is a recorder of another build, which does not speak as this one does. It goes on.
type OtherBuild struct{ Recorder Hello }

// Error implements error.
func (o *OtherBuild) Error() string {
	return fmt.Sprintf("another build of this program records %s, as process %d: it goes on, and cannot be shown or ended from here", o.Recorder.Order.Record, o.Recorder.Process)
}

// Hint says how to end it.
func (o *OtherBuild) Hint() string {
	return fmt.Sprintf("wait until it has ended, start that build again, or end it, which closes its record, with: "+endWords, o.Recorder.Process)
}

// Unwrap says what kind of error it is.
func (o *OtherBuild) Unwrap() error {
	return &explain.Error{Kind: explain.InTheWay, Text: o.Error(), Next: o.Hint()}
}

// replaced tells of a recorder that this front has started, and that is of another build, what
// there is to do.
func (p *Process) replaced(err error) error {
	var other *OtherBuild
	if !errors.As(err, &other) || other.Recorder.Process != p.Number {
		return err
	}
	return &explain.Error{
		Text: "another build of this program lies in its place by now, and does not speak as this one does: no recorder can be started",
		Next: "start the program that serves these pages again; what was recorded is stored, and can be gone on with",
	}
}
