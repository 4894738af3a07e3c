package review

import (
	"context"
	"errors"

	"arctally/acquire/quantity"
	"arctally/analyze/compare"
	"arctally/cmd/internal/explain"
)

// Compare lays a pass of the record over another one, over the median of the good
// ones where other is 0. Without a dwell the procedure's own holds.
func (r *Review) Compare(ctx context.Context, pass, other int, deviations float64, dwell *quantity.Seconds) (*compare.Comparison, error) {
	how := compare.Options{Deviations: deviations, Share: compare.DefaultShare, Dwell: r.plan.Job.Procedure.Judge.Dwell}
	if dwell != nil {
		how.Dwell = *dwell
	}
	l, err := r.large(ctx)
	if err != nil {
		return nil, err
	}
	if other == 0 {
		c, err := compare.WithMedian(l.profiles, r.Result.Passes, pass, how)
		if errors.Is(err, compare.ErrNoGoodPass) {
			err = noMedian(err)
		}
		return c, err
	}
	return compare.With(l.profiles, r.Result.Passes, pass, other, how)
}

// noMedian is a median that there is none of.
func noMedian(cause error) error {
	return &explain.Error{Kind: explain.Unfit, Cause: cause, Next: "lay it over a pass of your choice: --with NUMBER", OnPage: "choose a pass to lay it over"}
}
