package review

import (
	"errors"
	"slices"

	"arctally/acquire/record"
	"arctally/report/sheet"
)

// damaged are the errors by which a record is not as it was written; any other one says nothing of it.
var damaged = []record.Kind{record.Damaged, record.Altered, record.Truncated, record.NotRecord, record.Incomplete}

// IntegrityOf is what a verification says of a record. The error is what kept it from being read through.
func IntegrityOf(verified error) (sheet.Integrity, error) {
	var wrong *record.Error
	switch {
	case verified == nil:
		return sheet.Integrity{Verified: true}, nil
	case errors.As(verified, &wrong) && slices.Contains(damaged, wrong.Kind):
		return sheet.Integrity{Damage: verified.Error()}, nil
	default:
		return sheet.Integrity{}, verified
	}
}

// KnowIntegrity is Verify for who has verified the record already.
func (r *Review) KnowIntegrity(i sheet.Integrity) { r.integrity = i }
