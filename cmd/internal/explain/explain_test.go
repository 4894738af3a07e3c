package explain

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/acquire"
	"arctally/acquire/calib"
	"arctally/acquire/modbus"
	"arctally/acquire/record"
	"arctally/analyze/compare"
	"arctally/analyze/plan"
	"arctally/analyze/plausible"
	"arctally/analyze/procedure"
	"arctally/analyze/thermal"
	"arctally/report/fleet"
	"arctally/report/page/trace"
	"arctally/report/sheet"
)

func TestOf(t *testing.T) {
	const retry = "correct it, and try again"
	median := &Error{Kind: Unfit, Cause: compare.ErrNoGoodPass, Next: "--with NUMBER", OnPage: "choose a pass"}
	for _, test := range []struct {
		id   string
		err  error
		want Outcome
	}{
		{"done", nil, Outcome{Done, http.StatusOK, "", ""}},
		{"findings", fmt.Errorf("report: %w", ErrFindingsOpen), Outcome{Open, 500, "", ""}},
		{"not-proved", ErrNotProved, Outcome{Open, 500, "", ""}},
		{"run-out", ErrRunOut, Outcome{Open, 500, "", ""}},
		{"database", &fleet.DatabaseError{Next: "y"}, Outcome{Failed, 409, "y", "y"}},
		{"results", fmt.Errorf("x: %w", &fleet.ResultsError{}), Outcome{Failed, 422, new(fleet.ResultsError).Hint(), new(fleet.ResultsError).Hint()}},
		{"no-command", &MisuseError{Text: "x"}, Outcome{Misuse, 422, "arctally --help", retry}},
		{"wrong-flag", &MisuseError{Command: "passes", Text: "x"}, Outcome{Misuse, 422, "arctally passes --help", retry}},
		{"interrupted", fmt.Errorf("reading: %w", context.Canceled), Outcome{Failed, 500, "start the command again", "start the command again"}},
		{"other", errors.New("x"), Outcome{Failed, 500, "", ""}},
		{"failure", &Error{Text: "x", Next: "y"}, Outcome{Failed, 500, "y", "y"}},
		{"not-there", &Error{Kind: NotThere}, Outcome{Failed, 404, "", ""}},
		{"in-the-way", fmt.Errorf("x: %w", &Error{Kind: InTheWay, Next: "y"}), Outcome{Failed, 409, "y", "y"}},
		{"on-page", median, Outcome{Failed, 422, "--with NUMBER", "choose a pass"}},
		{"record-missing", &record.Error{Kind: record.Missing}, Outcome{Failed, 404, new(record.Error{Kind: record.Missing}).Hint(), new(record.Error{Kind: record.Missing}).Hint()}},
		{"record-busy", &record.Error{Kind: record.Busy}, Outcome{Failed, 409, new(record.Error{Kind: record.Busy}).Hint(), new(record.Error{Kind: record.Busy}).Hint()}},
		{"record-too-large", &record.Error{Kind: record.TooLarge}, Outcome{Failed, 413, new(record.Error{Kind: record.TooLarge}).Hint(), new(record.Error{Kind: record.TooLarge}).Hint()}},
		{"missing", fmt.Errorf("x: %w", fs.ErrNotExist), Outcome{Failed, 404, "check the name and the folder", "check the name and the folder"}},
		{"refused", fs.ErrPermission, Outcome{Failed, 409, "choose a folder that you may write to", "choose a folder that you may write to"}},
		{"read-only", syscall.EROFS, Outcome{Failed, 500, "choose a folder that you may write to", "choose a folder that you may write to"}},
		{"slave", &modbus.Error{Kind: modbus.NotTheMap}, Outcome{Failed, 409, (&modbus.Error{Kind: modbus.NotTheMap}).Hint(), (&modbus.Error{Kind: modbus.NotTheMap}).Hint()}},
		{"link", &acquire.Error{}, Outcome{Failed, 409, new(acquire.Error).Hint(), new(acquire.Error).Hint()}},
		{
			"job-file", &procedure.Error{File: "job.yaml", Line: 1, Column: 2},
			Outcome{Failed, 422, "mend the file at the line and column shown, and start the command again", "mend the file at the line and column shown"},
		},
		{"check", &calib.Error{Kind: calib.TooFew}, Outcome{Failed, 422, new(calib.Error{Kind: calib.TooFew}).Hint(), new(calib.Error{Kind: calib.TooFew}).Hint()}},
		{"window", &trace.Error{Allowed: "1 to 3"}, Outcome{Failed, 422, "allowed: 1 to 3", "allowed: 1 to 3"}},
		{"no-pass", &compare.NoPassError{Pass: 3}, Outcome{Failed, 422, "arctally passes RECORD shows which passes there are", "arctally passes RECORD shows which passes there are"}},
		{"unplanned", fmt.Errorf("job.yaml: %w", &plan.MissingError{}), Outcome{Failed, 422, new(plan.MissingError).Hint(), new(plan.MissingError).Hint()}},
		{"straight", plan.ErrStraight, Outcome{Failed, 422, "", ""}},
		{"no-end", &plan.TooManyLayersError{}, Outcome{Failed, 422, "", ""}},
		{"no-map", sheet.ErrNoMap, Outcome{Failed, 422, "give the bore and the pitch in a job file: --job JOB.yaml", "give the bore and the pitch in a job file: --job JOB.yaml"}},
		{"doubted", &plausible.UnsureError{How: "y"}, Outcome{Failed, 422, "mend it, or say it again on purpose: y", "mend it, or say it again on purpose: y"}},
		{"not-doubted", &plausible.IdleError{}, Outcome{Failed, 422, new(plausible.IdleError).Hint(), new(plausible.IdleError).Hint()}},
		{"formula", &thermal.RangeError{}, Outcome{Failed, 422, "the formula says nothing out there; the qualified procedure rules", "the formula says nothing out there; the qualified procedure rules"}},
	} {
		t.Run(test.id, func(t *testing.T) {
			assert.Equal(t, test.want, Of(test.err))
			status, hint := Page(test.err)
			assert.Equal(t, test.want.HTTP, status)
			assert.Equal(t, test.want.OnPage, hint)
		})
	}
}

// A record that cannot be used is no failure of this machine.
func TestOf_Records(t *testing.T) {
	for kind := range recordStatuses {
		assert.Less(t, Of(&record.Error{Kind: kind}).HTTP, 500, kind)
	}
	assert.Equal(t, 500, Of(&record.Error{Kind: record.Failed}).HTTP)
}

func TestError(t *testing.T) {
	cause := errors.New("beneath")
	assert.EqualError(t, &Error{Cause: cause}, "beneath")
	assert.EqualError(t, &Error{Text: "above", Cause: cause}, "above")
	assert.ErrorIs(t, &Error{Text: "above", Cause: cause}, cause)
	assert.EqualError(t, new(Error), "")
}
