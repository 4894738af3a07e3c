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
// times before it as well. What several boxes said is handed on as if one had said it.
func Feed(ctx context.Context, reader *record.Reader, sink series.Sink, told func(share float64)) error {
	reader.KeepGroups(keptAhead)
	f := feed{reader: reader, sink: sink, told: told}
	spans, err := reader.Epochs()
	if err != nil {
		return err
	}
	for _, span := range spans {
		f.all += span.Samples
	}
	if err := f.early(); err != nil {
		return err
	}
	several, err := reader.SeveralBoxes()
	switch {
	case err != nil:
		return err
	case several:
		return f.boxes(ctx, spans)
	}
	for group, err := range ahead(reader.Groups()) {
		if err == nil {
			err = errors.Join(ctx.Err(), f.hand(group, sink, false))
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// feed is one handing over of a record.
type feed struct {
	reader    *record.Reader
	sink      series.Sink
	told      func(share float64)
	all, done int64 // samples
}

// early hands the events that come first to the sink.
func (f *feed) early() error {
	events, err := f.reader.Events()
	for _, event := range events {
		if early(event) && err == nil {
			err = f.sink.Event(event)
		}
	}
	return err
}

// early reports whether an event holds at times before it. What a person typed in holds
// for the arc, whatever the epoch in which nothing had been heard of it.
func early(event series.Event) bool {
	_, typed := note.Parse(event)
	return typed || event.Box == 0 && (event.Kind == series.Index || event.Kind == series.ClockRate)
}

// hand gives what companions, or the box that tells the arc, said in one group to a sink.
func (f *feed) hand(group *record.Group, sink series.Sink, companions bool) error {
	for _, source := range group.Sources {
		if source.Box > 0 != companions {
			continue
		}
		if err := sink.Source(source); err != nil {
			return err
		}
	}
	for k := range group.Blocks {
		if err := sink.Block(&group.Blocks[k]); err != nil {
			return err
		}
		f.done += int64(group.Blocks[k].Len())
	}
	for _, event := range group.Events {
		if early(event) || event.Box > 0 != companions {
			continue
		}
		if err := sink.Event(event); err != nil {
			return err
		}
	}
	if f.all > 0 {
		f.told(float64(f.done) / float64(f.all))
	}
	return nil
}
