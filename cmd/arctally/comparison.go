package main

import (
	"errors"

	"arctally/acquire/quantity"
	"arctally/analyze/compare"
)

// compare lays a pass of the record over another one, over the median of the good
// ones where other is 0. Without a dwell the procedure's own holds.
func (r *review) compare(pass, other int, deviations float64, dwell *quantity.Seconds) (*compare.Comparison, error) {
	how := compare.Options{Deviations: deviations, Share: compare.DefaultShare, Dwell: r.plan.job.Procedure.Judge.Dwell}
	if dwell != nil {
		how.Dwell = *dwell
	}
	if other == 0 {
		c, err := compare.WithMedian(r.result.Profiles, r.result.Passes, pass, how)
		if errors.Is(err, compare.ErrNoGoodPass) {
			err = &noMedianError{err}
		}
		return c, err
	}
	return compare.With(r.result.Profiles, r.result.Passes, pass, other, how)
}

// noMedianError is a median that there is none of.
type noMedianError struct{ error }

// Unwrap returns the cause.
func (e *noMedianError) Unwrap() error { return e.error }

// Hint says what to compare with instead.
func (e *noMedianError) Hint() string { return "lay it over a pass of your choice: --with NUMBER" }
