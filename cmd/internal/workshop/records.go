package workshop

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"arctally/acquire/record"
	"arctally/analyze/compare"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/letterhead"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/shelf"
	"arctally/report/export"
	"arctally/report/page"
	"arctally/report/page/trace"
	"arctally/report/paper"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
)

// reviewed is a record that was judged, with a reader of its own; the caller
// closes it. Nil is a record that is still being judged: share tells how far.
func (w *workshop) reviewed(ctx context.Context, name string, patience time.Duration) (own *review.Review, share float64, err error) {
	file, err := w.folder.recordPath(name)
	if err != nil {
		return nil, 0, err
	}
	rec := w.busy()
	writing := rec != nil && rec.Record() == name
	kept, share, err := w.reviews.of(ctx, name, file, w.folder.stampOfRecord(name), writing, patience)
	if kept == nil || err != nil {
		return nil, share, w.folder.whereItIs(name, err)
	}
	if own, err = kept.Again(); err == nil {
		if known, ok := w.known.verified(name, w.folder.stampOfRecord(name)); ok {
			own.KnowIntegrity(integrityOf(known))
		}
	}
	return own, 1, err
}

// integrityOf is what was told to a page, for the sheet.
func integrityOf(known verification) sheet.Integrity {
	if known.found.Whole {
		return sheet.Integrity{Verified: true, Since: known.since}
	}
	return sheet.Integrity{Damage: known.found.Text}
}

// onReview does work on a record that was judged, as soon as it is.
func (w *workshop) onReview(ctx context.Context, name string, work func(*review.Review) error) error {
	r, _, err := w.reviewed(ctx, name, longReview)
	if err != nil {
		return err
	}
	if r == nil {
		return errStillJudging
	}
	return errors.Join(work(r), r.Close())
}

// longReview is how long an answer that needs a review is kept waiting.
const longReview = 2 * time.Minute

var errStillJudging error = &explain.Error{Kind: explain.InTheWay, Text: "the record is still being judged", OnPage: "nothing was put on record: the judging goes on, try again in a minute"}

// Review implements page.Records.
func (w *workshop) Review(ctx context.Context, name string) (answer *page.Reviewed, judging *page.Judging, err error) {
	r, share, err := w.reviewed(ctx, name, quickReview)
	if r == nil || err != nil {
		return nil, &page.Judging{Progress: share}, err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	err = w.desks.looks.do(ctx, func() (err error) {
		answer, err = w.shown(name, r)
		return err
	})
	return answer, nil, err
}

// shown is a review as a page shows it.
func (w *workshop) shown(name string, r *review.Review) (*page.Reviewed, error) {
	answer := &page.Reviewed{Review: r.Sheet().Review(), Epochs: []page.EpochRow{}, Channels: []string{}}
	rec := w.busy()
	answer.Recording = rec != nil && rec.Record() == name
	if source, ok := r.Source(); ok {
		answer.Channels = trace.Channels(&source)
	}
	spans, err := r.Epochs()
	for _, s := range spans {
		row := page.EpochRow{Epoch: s.Epoch, Box: s.Box, FirstTick: s.First, LastTick: s.Last}
		if wall, ok := r.WallTime(s.Epoch, s.First); ok {
			row.Started = new(sheet.Timestamp(wall))
		}
		answer.Epochs = append(answer.Epochs, row)
	}
	return answer, err
}

// sheetOf hands the sheet of a judged record on; nil and how far the judging is where that lasts.
func (w *workshop) sheetOf(ctx context.Context, name string, take func(*sheet.Sheet) error) (judging *page.Judging, err error) {
	r, share, err := w.reviewed(ctx, name, quickReview)
	if r == nil || err != nil {
		return &page.Judging{Progress: share}, err
	}
	err = w.desks.looks.do(ctx, func() error { return take(r.Sheet()) })
	return nil, errors.Join(err, r.Close())
}

// PassPage implements page.Records.
func (w *workshop) PassPage(ctx context.Context, name string, from int) (part *sheet.PassPage, judging *page.Judging, err error) {
	judging, err = w.sheetOf(ctx, name, func(s *sheet.Sheet) error {
		part = new(s.PassPage(from))
		return nil
	})
	return part, judging, err
}

// Pass implements page.Records.
func (w *workshop) Pass(ctx context.Context, name string, number int) (answer *sheet.PassAlone, judging *page.Judging, err error) {
	judging, err = w.sheetOf(ctx, name, func(s *sheet.Sheet) error {
		one, ok := s.PassAlone(number)
		if !ok {
			return notThere("record %s: there is no pass %d", name, number)
		}
		answer = &one
		return nil
	})
	return answer, judging, err
}

// Cell implements page.Records.
func (w *workshop) Cell(ctx context.Context, name string, row, column int) (answer *sheet.CellAlone, judging *page.Judging, err error) {
	judging, err = w.sheetOf(ctx, name, func(s *sheet.Sheet) error {
		one, ok := s.CellAlone(row, column)
		if !ok {
			return notThere("record %s: its wall has no cell in row %d and column %d", name, row, column)
		}
		answer = &one
		return nil
	})
	return answer, judging, err
}

func notThere(format string, args ...any) error {
	return &explain.Error{Kind: explain.NotThere, Text: fmt.Sprintf(format, args...), OnPage: "go to the review: it has those that there are"}
}

// Events implements page.Records.
func (w *workshop) Events(ctx context.Context, name string, request page.EventsRequest) (answer *page.EventsAnswer, judging *page.Judging, err error) {
	judging, err = w.sheetOf(ctx, name, func(s *sheet.Sheet) error {
		rec := w.busy()
		answer = &page.EventsAnswer{Recording: rec != nil && rec.Record() == name, List: s.EventPage(request.Choice, request.From, request.Units)}
		w.known.tell(name, answer.List.Banner)
		return nil
	})
	return answer, judging, err
}

// Event implements page.Records.
func (w *workshop) Event(ctx context.Context, name string, number int, request page.EventsRequest) (answer *sheet.EventAlone, judging *page.Judging, err error) {
	judging, err = w.sheetOf(ctx, name, func(s *sheet.Sheet) error {
		one, ok := s.EventAlone(number, request.Choice, request.From, request.Units)
		if !ok {
			return review.NoEvent(name, number)
		}
		answer = &one
		return nil
	})
	return answer, judging, err
}

// Compare implements page.Records.
func (w *workshop) Compare(ctx context.Context, name string, pass, with int) (answer *sheet.ComparisonObject, judging *page.Judging, err error) {
	r, share, err := w.reviewed(ctx, name, quickReview)
	if r == nil || err != nil {
		return nil, &page.Judging{Progress: share}, err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	err = w.desks.looks.do(ctx, func() error {
		c, err := r.Compare(ctx, pass, with, compare.DefaultDeviations, nil)
		if err == nil {
			answer = new(r.Sheet().Comparison(c))
		}
		return err
	})
	return answer, nil, err
}

// Trace implements page.Records. Samples are read from the record; means are those of its judgement.
func (w *workshop) Trace(ctx context.Context, name string, window trace.Window, asked []string) (traced trace.Trace, err error) {
	channels, means := trace.Means(asked)
	err = w.desks.looks.do(ctx, func() (err error) {
		traced, err = w.samples(ctx, name, window, channels)
		return err
	})
	if err != nil || means == nil {
		return traced, err
	}
	return traced, w.onReview(ctx, name, func(r *review.Review) error {
		judged, err := r.Means(ctx, window.Epoch, window.From, window.Until)
		if err == nil {
			traced.AddMeans(means, judged)
		}
		return err
	})
}

func (w *workshop) samples(ctx context.Context, name string, window trace.Window, channels []string) (traced trace.Trace, err error) {
	file, err := w.folder.recordPath(name)
	if err != nil {
		return traced, err
	}
	r, err := w.readers.take(file)
	if err != nil {
		return traced, err
	}
	r.Under(ctx)
	traced, err = readTrace(r.Reader, r.Register(), window, channels)
	r.Under(context.Background())
	return traced, errors.Join(err, w.readers.give(r))
}

// File implements page.Records.
func (w *workshop) File(ctx context.Context, to io.Writer, name string, r page.FileRequest) error {
	at := w.desks.data
	if r.Form == page.PDF || r.Form == page.HTML {
		at = w.desks.papers
	}
	return w.onReview(ctx, name, func(own *review.Review) error {
		return at.do(ctx, func() error {
			own.Under(ctx)
			return files.Buffered(asking{ctx, to}, func(to io.Writer) error { return w.writeReview(ctx, to, own, r) })
		})
	})
}

// asking is a writer that takes nothing any more once nobody waits for it.
type asking struct {
	ctx context.Context
	to  io.Writer
}

// Write implements io.Writer.
func (a asking) Write(b []byte) (int, error) {
	if err := a.ctx.Err(); err != nil {
		return 0, err
	}
	return a.to.Write(b)
}

// dataForms are the forms that the command export writes.
var dataForms = map[page.FileForm]review.Form{
	page.JSON: {Format: review.FormatJSON}, page.CSV: {Format: review.FormatCSV, Table: review.TableSamples}, page.Parquet: {Format: review.FormatParquet, Table: review.TableSamples},
	page.PassesCSV:   {Format: review.FormatCSV, Table: string(export.Passes)},
	page.FindingsCSV: {Format: review.FormatCSV, Table: string(export.Findings)},
}

// writeReview writes a review in the form that a page asks for.
func (w *workshop) writeReview(ctx context.Context, to io.Writer, r *review.Review, request page.FileRequest) error {
	if request.Form == page.PDF || request.Form == page.HTML {
		return w.writePaper(ctx, to, r, request)
	}
	data, ok := dataForms[request.Form]
	if !ok {
		panic("serve: a form that no page asks for: " + string(request.Form))
	}
	return r.Export(ctx, to, data, func(float64) {})
}

// writePaper writes the weld record below the letterhead that lies beside the jobs, if one does.
func (w *workshop) writePaper(ctx context.Context, to io.Writer, r *review.Review, request page.FileRequest) error {
	head, err := letterhead.ReadBeside(w.folder.root.FS())
	if err != nil {
		return err
	}
	s := r.Sheet()
	waves, err := r.Waves(ctx, s)
	if err != nil {
		return err
	}
	with := paper.With{Head: head, Waves: waves, Wanted: ctx.Err}
	if request.Form == page.HTML {
		return with.HTML(to, s, request.Units)
	}
	return with.PDF(to, s, request.Units, layout.Format(request.Paper))
}

// Integrity implements page.Records. What was verified is not read again until somebody else writes
// into the record.
func (w *workshop) Integrity(ctx context.Context, name string) (answer page.Integrity, err error) {
	file, err := w.folder.recordPath(name)
	if err != nil {
		return answer, err
	}
	err = w.desks.verifying.do(ctx, func() (err error) {
		answer, err = w.integrity(ctx, name, file)
		return err
	})
	return answer, err
}

// integrity reads a record through, as long as somebody waits for it.
func (w *workshop) integrity(ctx context.Context, name, file string) (answer page.Integrity, err error) {
	now := w.folder.stampOfRecord(name)
	if known, ok := w.known.verified(name, now); ok {
		return known.found, nil
	}
	since, err := review.Whole(shelf.From(w.reviews.ctx).With(ctx), file)
	var wrong *record.Error
	found, failed := review.IntegrityOf(err)
	switch {
	case failed != nil:
		return answer, failed
	case found.Verified && !since.IsZero():
		answer = page.Integrity{Whole: true, Text: "the record was whole when all of it was read on " + sheet.Minute(since) + ", and this machine shows no change of its file since, but what was put on record here"}
	case found.Verified:
		answer = page.Integrity{Whole: true, Text: "the record is whole, and nobody changed it"}
	case errors.As(err, &wrong):
		answer = page.Integrity{Text: found.Damage, Hint: wrong.Hint()}
	}
	w.folder.outwards(&answer.Text, &answer.Hint)
	w.known.found(name, verification{now, answer, since})
	return answer, nil
}
