package workshop

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"arctally/acquire/record"
	"arctally/analyze/inspect"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/pairs"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/sealing"
	"arctally/report/page"
	"arctally/report/picture"
	"arctally/report/sheet"
)

// Entries implements page.Records.
func (w *workshop) Entries(_ context.Context, name string) (entries []inspect.Entry, err error) {
	err = w.read(name, func(reader *record.Reader) error {
		entries, err = review.ReadEntries(reader)
		return err
	})
	return entries, err
}

// read opens a record for one answer.
func (w *workshop) read(name string, work func(*record.Reader) error) error {
	file, err := w.folder.recordPath(name)
	if err != nil {
		return err
	}
	reader, err := record.Open(file)
	if err != nil {
		return err
	}
	return errors.Join(work(reader), reader.Close())
}

// amend adds to a record: through the writer that records into it, or with one of its own.
func (w *workshop) amend(name string, work func(review.Putter) error) error {
	defer w.all.Changed()
	if rec := w.busy(); rec != nil && rec.Record() == name {
		return work(rec)
	}
	file, err := w.folder.recordPath(name)
	if err != nil {
		return err
	}
	return review.Adding(w.reviews.ctx, file, func() error {
		writer, err := record.Amend(file)
		if err != nil {
			return err
		}
		sealing.Seal(writer)
		return errors.Join(work(writer), writer.Close())
	})
}

// Enter implements page.Records.
func (w *workshop) Enter(ctx context.Context, name string, r page.EntryRequest) (kept page.EntryKept, err error) {
	if err := w.onReview(ctx, name, judged); err != nil {
		return kept, err // nobody else waits for the judging of this record
	}
	typed := r.By
	w.entering.Lock()
	defer w.entering.Unlock()
	err = w.onReview(ctx, name, func(own *review.Review) error {
		r.By = page.SignedBy(ctx, typed)
		act, err := actOf(own, r)
		if err != nil {
			return err
		}
		at := w.screen.Now().UTC()
		for k := range act {
			act[k].At = at
		}
		was := w.folder.stampOfRecord(name)
		err = w.amend(name, func(writer review.Putter) error {
			act, err = review.PutEntries(writer, own.Entries, act, nil)
			return err
		})
		if err != nil {
			return err
		}
		own.Entries = append(slices.Clip(own.Entries), act...)
		own.Book = inspect.Fold(own.Entries, own.Result.Findings)
		kept = page.EntryKept{Number: act[0].Number, Entries: len(act), Open: own.Book.Open(), OpenEvents: own.Book.OpenEvents()}
		now := w.folder.stampOfRecord(name)
		w.reviews.carry(name, was, now, kept.Open)
		w.known.carry(name, was, now)
		w.known.tell(name, own.Sheet().Banner(sheet.Metric))
		return nil
	})
	if err == nil {
		w.tellHouse()
	}
	return kept, err
}

// judged asks no more of a review than that it is there.
func judged(*review.Review) error { return nil }

// actOf makes the entries of one act of what was filled in, unless somebody else has put one
// about the same thing on record that the person has not seen.
func actOf(r *review.Review, request page.EntryRequest) (act []inspect.Entry, err error) {
	e := inspect.Entry{By: request.By, Corrects: request.Corrects}
	if m := request.Machining; m != nil {
		in := &pairs.Input{Command: "inspect", Subject: "machining", Values: map[string]string{
			"instrument": m.Instrument, "cleaned-up": m.CleanedUp, "where": m.Where, "remark": request.Remark,
			"uncertainty": m.Uncertainty, "wanted": m.Wanted,
		}, Lists: map[string][]string{pairs.Sure: request.Sure}}
		for _, s := range m.Stations {
			in.Lists["station"] = append(in.Lists["station"], strings.Join([]string{s.Depth, s.Angle, s.Diameter}, ";"))
		}
		if err := r.ReadMachining(in, &e); err != nil {
			return nil, err
		}
		if e.SaysNothing() && len(request.Photographs) == 0 {
			return nil, review.ErrSaysNothing
		}
	} else {
		e.Disposition = &inspect.Disposition{
			Method: inspect.Method(request.Method), Result: inspect.Result(request.Result),
			Decision: inspect.Decision(request.Decision), Remark: request.Remark,
		}
	}
	if e.Photographs, err = photographsOf(r, request.Photographs); err != nil {
		return nil, err
	}
	switch {
	case request.Machining != nil:
		act = []inspect.Entry{e}
	case len(request.Events) > 0:
		act, err = r.DecideAll(request.Events, request.Count, e)
	case request.Event != 0:
		act, err = r.Decide(request.Event, e)
	default:
		e.Disposition.Of, err = r.Refer(request.Finding, 0, request.Corrects)
		act = []inspect.Entry{e}
	}
	if err != nil {
		return nil, err
	}
	for k := range act {
		for _, other := range historyOf(r, &act[k]) {
			if other.Number > request.Seen {
				return nil, unseen(other)
			}
		}
	}
	return act, nil
}

// historyOf are the entries about what an entry is about.
func historyOf(r *review.Review, e *inspect.Entry) []inspect.Kept {
	if e.Machining != nil {
		return r.Book.Machinings
	}
	k := slices.IndexFunc(r.Book.Findings, func(i inspect.Item) bool { return i.Of.Number == e.Disposition.Of.Number })
	return r.Book.Findings[k].History
}

// photographsOf names pictures that are on record already.
func photographsOf(r *review.Review, named []page.EntryPhotograph) (list []inspect.Photograph, err error) {
	for _, p := range named {
		mime, content, err := r.Photograph(p.SHA256)
		if err != nil {
			return nil, err
		}
		list = append(list, inspect.Photograph{SHA256: p.SHA256, Type: mime, Size: int64(len(content)), Caption: p.Caption})
	}
	return list, nil
}

// unseen is an entry that came while another one was written.
func unseen(other inspect.Kept) error {
	return &explain.Error{
		Kind: explain.InTheWay, Text: fmt.Sprintf("%s has put entry %d about the same thing on record meanwhile; nothing was written", other.By, other.Number),
		Next: "read that entry, and put yours on record if it still holds",
	}
}

// AddPhotograph implements page.Records.
func (w *workshop) AddPhotograph(_ context.Context, name, _ string, content []byte) (kept page.PhotographKept, err error) {
	mime, content, err := picture.Anew(content)
	if err != nil {
		return kept, err
	}
	w.entering.Lock()
	defer w.entering.Unlock()
	kept.Bytes = int64(len(content))
	was := w.folder.stampOfRecord(name)
	err = w.amend(name, func(writer review.Putter) error {
		kept.SHA256, err = writer.Photograph(mime, content)
		return err
	})
	if open := w.reviews.open(name); err == nil && open != nil {
		w.reviews.carry(name, was, w.folder.stampOfRecord(name), *open)
	}
	if err == nil {
		w.known.carry(name, was, w.folder.stampOfRecord(name))
	}
	return kept, err
}

// Photograph implements page.Records: what is on record is shown as if it had been written
// anew before.
func (w *workshop) Photograph(_ context.Context, name, digest string) (mime string, shown []byte, err error) {
	var content []byte
	err = w.read(name, func(reader *record.Reader) error {
		_, content, err = reader.Photograph(digest)
		return err
	})
	if err != nil {
		return "", nil, err
	}
	return picture.Shown(content)
}
