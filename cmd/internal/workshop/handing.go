package workshop

import (
	"context"
	"errors"
	"slices"
	"sync"
	"time"

	"arctally/acquire/record"
	"arctally/cmd/internal/bundling"
	"arctally/cmd/internal/outbox"
	"arctally/cmd/internal/shelf"
	"arctally/report/handover"
	"arctally/report/page"
	"arctally/report/sheet"
)

// useStore opens the store into which closed records are handed over, if one was named. Nobody asks for
// the house yet.
func (w *workshop) useStore(o *Options) error {
	if o.HandOver == "" {
		return nil
	}
	store, err := handover.Open(o.HandOver)
	if err != nil {
		return err
	}
	w.outbox = outbox.New(outbox.Options{
		Folder: w.folder.path, Store: store, Quiet: o.Quiet, Now: w.screen.Now, Changed: w.tellHouse,
		Busy: func() bool { return w.busy() != nil },
	})
	w.screen.Tell("closed records are handed over into %s", o.HandOver)
	return nil
}

// handOver begins to hand closed records over, if there is a store for them, and returns how to end that.
func (w *workshop) handOver(ctx context.Context) (end func()) {
	if w.outbox == nil {
		return func() {}
	}
	ctx, stop := context.WithCancel(shelf.From(w.reviews.ctx).With(ctx))
	var handing sync.WaitGroup
	handing.Go(func() { w.outbox.Run(ctx) })
	return func() {
		stop()
		handing.Wait()
	}
}

// handed is how a record stands to the store, as a page shows it; nil is not at all.
func (w *workshop) handed(record string) *page.Handed {
	if w.outbox == nil {
		return nil
	}
	row, ok := w.outbox.Row(record)
	if !ok {
		return nil
	}
	h := &page.Handed{State: string(row.State), At: sheet.Timestamp(row.At), Again: stampOf(row.Again), Bundle: textOf(row.Bundle), Says: textOf(row.Says), Hint: textOf(row.Hint)}
	w.folder.outwards(h.Says, h.Hint)
	return h
}

// mostRemoved is how many of the records that were removed here a page shows. Ours, no source.
const mostRemoved = 20

// removed are the records that went from here last, and how many went before them. A note that cannot be
// read shows nothing: hand-over --list tells of it.
func (f *folder) removed() (rows []page.RemovedRow, more int) {
	found, _ := bundling.RemovedFrom(f.path)
	slices.SortStableFunc(found, func(a, b bundling.Removed) int { return b.At.Compare(a.At) })
	shown := found[:min(len(found), mostRemoved)]
	for _, r := range shown {
		rows = append(rows, page.RemovedRow{Record: r.Record, Job: r.Job, At: sheet.Timestamp(r.At), Bundle: r.Bundle})
	}
	return rows, len(found) - len(shown)
}

// whereItIs says of a record that is not there whether it was removed here, and which store has it.
func (f *folder) whereItIs(name string, err error) error {
	own, ok := errors.AsType[*record.Error](err)
	if !ok || own.Kind != record.Missing {
		return err
	}
	gone, _ := bundling.GoneFrom(f.path, name) // who asks for the record learns at least that it is not there
	if gone != nil {
		return gone.Gone("record " + name)
	}
	return err
}

func stampOf(t time.Time) *string {
	if t.IsZero() {
		return nil
	}
	return new(sheet.Timestamp(t))
}

func textOf(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}
