package main

import (
	"context"
	"errors"
	"io/fs"
	"syscall"

	"arctally/acquire/capture"
	"arctally/analyze/compare"
	"arctally/analyze/procedure"
	"arctally/analyze/thermal"
	"arctally/report/export"
	"arctally/report/sheet"
)

// The exit statuses.
const (
	statusDone     = 0
	statusError    = 1
	statusUsage    = 2
	statusFindings = 3
)

// explain maps what became of a command to the exit status, and to the next
// thing to do where there is one.
func explain(err error) (status int, hint string) {
	var wrongUse *usageError
	var flawed *procedure.Error
	var captured *capture.Error
	var hinting hinter
	var noPass *compare.NoPassError
	var outOfRange *thermal.RangeError
	var beyondFormula *benchRangeError
	switch {
	case err == nil:
		return statusDone, ""
	case errors.Is(err, errFindingsOpen), errors.Is(err, errNotProved):
		return statusFindings, ""
	case errors.As(err, &wrongUse) && wrongUse.command == "":
		return statusUsage, "arctally --help"
	case errors.As(err, &wrongUse):
		return statusUsage, "arctally " + wrongUse.command + " --help"
	case errors.Is(err, context.Canceled):
		return statusError, "start the command again"
	case errors.As(err, &flawed):
		return statusError, "mend the file at the line and column shown, and start the command again"
	case errors.As(err, &outOfRange), errors.As(err, &beyondFormula):
		return statusError, "the formula says nothing out there; the qualified procedure rules"
	case errors.As(err, &captured):
		return statusError, captured.Hint
	case errors.As(err, &noPass):
		return statusError, "arctally passes RECORD shows which passes there are"
	case errors.Is(err, sheet.ErrNoMap):
		return statusError, "give the bore and the pitch in a job file: --job JOB.yaml"
	case errors.As(err, &hinting):
		return statusError, hinting.Hint()
	case errors.Is(err, export.ErrNoWallTime):
		return statusError, "arctally export RECORD --format csv"
	case errors.Is(err, fs.ErrNotExist):
		return statusError, "check the name and the folder"
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return statusError, "choose a folder that you may write to"
	default:
		return statusError, ""
	}
}

// hinter is an error that knows what to do next.
type hinter interface {
	error
	Hint() string
}

// errNotProved is how prove says that it is done, and that the record does not
// prove every pass.
var errNotProved = errors.New("not every pass is proved")

// usageError is a command line that cannot be carried out as it stands.
type usageError struct{ command, text string }

func (e *usageError) Error() string { return e.text }

// errFindingsOpen is how a command says that it is done and somebody has to look at the bore.
var errFindingsOpen = errors.New("findings are open")
