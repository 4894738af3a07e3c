// Package explain knows what an error means to who asked for something: the exit
// status of the program, the status of the answer to a page, and the next thing to
// do. One switch has all of it, so that a page says what the terminal says.
//
// Terms. A hint is the next thing to do. It travels with the error, which is made
// where somebody knows it: here stand only the hints for errors of the system.
package explain

import (
	"context"
	"errors"
	"io/fs"
	"net/http"

	"arctally/acquire"
	"arctally/acquire/calib"
	"arctally/acquire/modbus"
	"arctally/acquire/port"
	"arctally/acquire/record"
	"arctally/acquire/system"
	"arctally/analyze/bore"
	"arctally/analyze/compare"
	"arctally/analyze/plan"
	"arctally/analyze/plausible"
	"arctally/analyze/procedure"
	"arctally/analyze/thermal"
	"arctally/report/fleet"
	"arctally/report/page/trace"
	"arctally/report/picture"
	"arctally/report/sheet"
)

// The exit statuses.
const (
	Done   = 0
	Failed = 1
	Misuse = 2
	Open   = 3 // done, and somebody has to look at it
)

// Outcome is what became of a command, or of what a page asked for.
type Outcome struct {
	Exit   int    // status of the program
	HTTP   int    // status of the answer to a page
	Hint   string // what to do next, for who sits at the terminal
	OnPage string // the same for who sits before a page, where commands are of no use
}

// Of says what an error means; nil is that all is well.
func Of(err error) Outcome {
	hint := hintOf(err)
	o := Outcome{Exit: Failed, HTTP: http.StatusInternalServerError, Hint: hint, OnPage: hint}
	switch {
	case err == nil:
		o.Exit, o.HTTP = Done, http.StatusOK
	case errors.Is(err, ErrFindingsOpen), errors.Is(err, ErrNotProved), errors.Is(err, ErrRunOut):
		o.Exit = Open
	case isA[*MisuseError](err):
		o.Exit, o.HTTP, o.OnPage = Misuse, http.StatusUnprocessableEntity, "correct it, and try again"
	case isA[*Error](err):
		own, _ := errors.AsType[*Error](err)
		o.HTTP = statuses[own.Kind]
		if own.OnPage != "" {
			o.OnPage = own.OnPage
		}
	case isA[*record.Error](err):
		own, _ := errors.AsType[*record.Error](err)
		if status, ok := recordStatuses[own.Kind]; ok {
			o.HTTP = status
		}
	case errors.Is(err, fs.ErrNotExist):
		o.HTTP = http.StatusNotFound
	case errors.Is(err, fs.ErrPermission), isA[*port.Error](err), isA[*acquire.Error](err), isA[*modbus.Error](err):
		o.HTTP = http.StatusConflict
	case isA[*fleet.DatabaseError](err):
		o.HTTP = http.StatusConflict
	case isA[*procedure.Error](err):
		o.HTTP, o.Hint = http.StatusUnprocessableEntity, hint+", and start the command again"
	case isA[*calib.Error](err), isA[*trace.Error](err), isA[*compare.NoPassError](err), errors.Is(err, sheet.ErrNoMap),
		isA[*plan.MissingError](err), isA[*plan.TooManyLayersError](err), errors.Is(err, plan.ErrStraight), isA[*thermal.RangeError](err),
		isA[*thermal.TypedError](err), isA[*bore.WeighedError](err), isA[*plausible.UnsureError](err), isA[*plausible.IdleError](err), isA[*picture.Error](err), isA[*fleet.ResultsError](err):
		o.HTTP = http.StatusUnprocessableEntity
	}
	return o
}

// statuses are those of the errors of the program itself.
var statuses = map[Kind]int{
	Failure: http.StatusInternalServerError, NotThere: http.StatusNotFound, InTheWay: http.StatusConflict, Unfit: http.StatusUnprocessableEntity,
}

// recordStatuses are those of records that cannot be used; any other is a failure
// of this machine.
var recordStatuses = map[record.Kind]int{
	record.Missing: http.StatusNotFound, record.Exists: http.StatusConflict, record.Busy: http.StatusConflict,
	record.NotRecord: http.StatusConflict, record.Truncated: http.StatusConflict, record.Newer: http.StatusConflict,
	record.Damaged: http.StatusConflict, record.Altered: http.StatusConflict, record.ReadOnly: http.StatusConflict,
	record.Changed: http.StatusConflict, record.Closed: http.StatusConflict,
	record.Incomplete: http.StatusUnprocessableEntity, record.TooLarge: http.StatusRequestEntityTooLarge,
}

// hintOf is the next thing to do: what the error itself says, or what the system
// leaves to guess.
func hintOf(err error) string {
	hinting, ok := errors.AsType[interface {
		error
		Hint() string
	}](err)
	switch {
	case errors.Is(err, context.Canceled):
		return "start the command again"
	case ok:
		return hinting.Hint()
	case errors.Is(err, fs.ErrNotExist):
		return "check the name and the folder"
	case errors.Is(err, fs.ErrPermission), system.ReadOnly(err):
		return "choose a folder that you may write to"
	default:
		return ""
	}
}

// Page gives an error the status of its answer and the hint for who sits before a page.
func Page(err error) (status int, hint string) {
	o := Of(err)
	return o.HTTP, o.OnPage
}

// isA tells whether an error is, or wraps, one of a type.
func isA[E error](err error) bool {
	_, ok := errors.AsType[E](err)
	return ok
}
