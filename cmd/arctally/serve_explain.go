package main

import (
	"errors"
	"io/fs"
	"net/http"

	"arctally/acquire"
	"arctally/acquire/calib"
	"arctally/acquire/port"
	"arctally/acquire/record"
	"arctally/analyze/compare"
	"arctally/analyze/procedure"
	"arctally/report/page/trace"
	"arctally/report/sheet"
)

// recordStatuses are those of records that cannot be used; any other is an error
// of this machine.
var recordStatuses = map[record.Kind]int{
	record.Missing: http.StatusNotFound, record.Exists: http.StatusConflict, record.Busy: http.StatusConflict,
	record.NotRecord: http.StatusConflict, record.Truncated: http.StatusConflict, record.Newer: http.StatusConflict,
	record.Damaged: http.StatusConflict, record.Altered: http.StatusConflict, record.ReadOnly: http.StatusConflict,
	record.Changed: http.StatusConflict, record.Closed: http.StatusConflict,
	record.Incomplete: http.StatusUnprocessableEntity, record.TooLarge: http.StatusRequestEntityTooLarge,
}

// explainPage gives an error the status of its answer, and the hint that the
// terminal would give; but commands are of no use to who sits before a page.
func explainPage(err error) (status int, hint string) {
	_, hint = explain(err)
	status = pageStatus(err)
	var wrongUse *usageError
	var flawed *procedure.Error
	switch {
	case errors.As(err, &wrongUse):
		hint = "correct it, and try again"
	case errors.As(err, &flawed):
		hint = "mend the file at the line and column shown"
	case isA[*noMedianError](err):
		hint = "choose a pass to lay it over"
	case errors.Is(err, errNotRecording):
		hint = "start a recording first"
	case errors.Is(err, errBenchInUse):
		hint = "wait until the check is done"
	case errors.Is(err, errStillJudging):
		hint = "nothing was put on record: the judging goes on, try again in a minute"
	}
	return status, hint
}

func pageStatus(err error) int {
	var ofRecord *record.Error
	switch {
	case errors.As(err, &ofRecord):
		if status, ok := recordStatuses[ofRecord.Kind]; ok {
			return status
		}
		return http.StatusInternalServerError
	case errors.Is(err, fs.ErrNotExist), isA[*nameError](err):
		return http.StatusNotFound
	case errors.Is(err, fs.ErrPermission), errors.Is(err, errNotRecording), errors.Is(err, errBenchInUse), errors.Is(err, errStillJudging),
		isA[*recordingError](err), isA[*recordedError](err), isA[*otherJobError](err), isA[*unseenError](err),
		isA[*port.Error](err), isA[*acquire.Error](err), isA[*tooShortError](err), isA[*undatedError](err):
		return http.StatusConflict
	case isA[*usageError](err), isA[*procedure.Error](err), isA[*calib.Error](err), isA[*trace.Error](err), isA[*noSensorError](err),
		isA[*noChannelError](err), isA[*noFindingError](err), isA[*compare.NoPassError](err), isA[*noMedianError](err), errors.Is(err, sheet.ErrNoMap):
		return http.StatusUnprocessableEntity
	default:
		return http.StatusInternalServerError
	}
}

// isA tells whether an error is, or wraps, one of a type.
func isA[E error](err error) bool {
	_, ok := errors.AsType[E](err)
	return ok
}
