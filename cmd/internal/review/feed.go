package review

import (
	"context"
	"errors"

	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/analyze/note"
)

// Feed hands a record to a sink, in the order of the record; but what people typed
// in, and when the torch stood at the reference mark, comes first, because it holds at
// times before it as well.
func Feed(ctx context.Context, reader *record.Reader, sink series.Sink, told func(share float64)) error {
	spans, err := reader.Epochs()
	if err != nil {
		return err
	}
	var all, done int64
	for _, span := range spans {
		all += span.Samples
	}
	if err := feedEarly(reader, sink); err != nil {
		return err
	}
	for group, err := range ahead(reader.Groups()) {
		if err == nil {
			err = errors.Join(ctx.Err(), hand(group, sink, &done))
		}
		if err != nil {
			return err
		}
		if all > 0 {
			told(float64(done) / float64(all))
		}
	}
	return nil
}

// feedEarly hands the events that come first to a sink.
func feedEarly(reader *record.Reader, sink series.Sink) error {
	events, err := reader.Events()
	for _, event := range events {
		if early(event) && event.Box == 0 && err == nil {
			err = sink.Event(event)
		}
	}
	return err
}

// early reports whether an event holds at times before it.
func early(event series.Event) bool {
	_, typed := note.Parse(event)
	return typed || event.Kind == series.Index
}

// hand gives one group to a sink, and counts its samples.
func hand(group *record.Group, sink series.Sink, samples *int64) error {
	for _, source := range group.Sources {
		if source.Box > 0 {
			continue
		}
		if err := sink.Source(source); err != nil {
			return err
		}
	}
	for k := range group.Blocks {
		*samples += int64(group.Blocks[k].Len())
		if group.Blocks[k].Box > 0 {
			continue
		}
		if err := sink.Block(&group.Blocks[k]); err != nil {
			return err
		}
	}
	for _, event := range group.Events {
		if early(event) || event.Box > 0 {
			continue
		}
		if err := sink.Event(event); err != nil {
			return err
		}
	}
	return nil
}
