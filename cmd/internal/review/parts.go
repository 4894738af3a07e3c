package review

import (
	"context"
	"errors"
	"iter"

	"arctally/acquire/series"
	"arctally/report/export"
)

// parts hands a record to an export, and keeps what the sources said of themselves.
func (r *Review) parts(ctx context.Context, told func(share float64)) iter.Seq2[export.Part, error] {
	return func(yield func(export.Part, error) bool) {
		if err := Feed(ctx, r.Reader, partSink(yield), told); err != nil && !errors.Is(err, errEnough) {
			yield(export.Part{}, err)
		}
	}
}

// errEnough ends the reading when the export wants no more.
var errEnough = errors.New("the export has ended")

// partSink turns what a record hands out into the parts of an export.
type partSink func(export.Part, error) bool

func (s partSink) put(p export.Part) error {
	if !s(p, nil) {
		return errEnough
	}
	return nil
}

// Source implements series.Sink.
func (s partSink) Source(source series.Source) error { return s.put(export.Part{Source: &source}) }

// Block implements series.Sink.
func (s partSink) Block(b *series.Block) error { return s.put(export.Part{Block: b}) }

// Event implements series.Sink; events are no part of the samples.
func (s partSink) Event(series.Event) error { return nil }
