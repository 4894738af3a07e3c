package workshop

import (
	"context"
	"net/http"
	"strings"

	"arctally/analyze/note"
	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/review"
	"arctally/report/page"
)

// LiveNote implements page.Recording.
func (w *workshop) LiveNote(ctx context.Context, r page.NoteRequest) (page.NoteKept, error) {
	rec := w.busy()
	if rec == nil {
		return page.NoteKept{}, recording.ErrNotRecording
	}
	if r.At != "" && r.At != review.Now {
		return page.NoteKept{}, fieldProblem("at", "while it is recorded, a note holds from now on", "leave the time out, or put it on record after the recording")
	}
	notes, err := notesOf(ctx, r)
	if err != nil {
		return page.NoteKept{}, err
	}
	w.memory.named(r.By)
	kept := page.NoteKept{Said: said(notes)}
	for _, n := range notes {
		if kept.When, err = rec.Note(ctx, n); err != nil {
			return page.NoteKept{}, err
		}
	}
	return kept, nil
}

// Note implements page.Records.
func (w *workshop) Note(ctx context.Context, record string, r page.NoteRequest) (page.NoteKept, error) {
	if rec := w.busy(); rec != nil && rec.Record() == record {
		return w.LiveNote(ctx, r)
	}
	file, err := w.folder.recordPath(record)
	if err != nil {
		return page.NoteKept{}, err
	}
	notes, err := notesOf(ctx, r)
	if err != nil {
		return page.NoteKept{}, err
	}
	if r.At == "" {
		r.At = review.Now
	}
	moment, err := review.MomentOf(file, r.At, w.screen.Now())
	if err != nil {
		return page.NoteKept{}, err
	}
	if err := review.AddNotes(file, notes, moment); err != nil {
		return page.NoteKept{}, err
	}
	w.memory.named(r.By)
	w.tellHouse()
	return page.NoteKept{Said: said(notes), When: moment.Words}, nil
}

// said is what the notes of one request say.
func said(notes []note.Note) string {
	words := make([]string, len(notes))
	for k, n := range notes {
		words[k] = n.Said()
	}
	return strings.Join(words, "; ")
}

// notesOf reads what a person typed in; a value that is kept on purpose makes two notes.
func notesOf(ctx context.Context, r page.NoteRequest) ([]note.Note, error) {
	n, err := noteOf(r)
	if err != nil {
		return nil, err
	}
	n.By = page.SignedBy(ctx, n.By)
	return review.SureNotes([]review.TypedNote{{Note: n, Value: r.Value}}, r.Sure)
}

func noteOf(r page.NoteRequest) (note.Note, error) {
	n := note.Note{By: r.By}
	var err error
	switch r.Kind {
	case page.NoteTemperature:
		n.Temperature, err = review.ReadTemperature(r.Value)
	case page.NoteGasFlow:
		n.GasFlow, err = review.ReadGasFlow(r.Value)
	case page.NoteText:
		n.Text = r.Value
	case page.NoteTorchAt:
		n.TorchAt, err = review.ReadAngle(r.Value)
	case page.NoteEndOfPass:
		n.EndOfPass = true
	}
	if err != nil {
		return n, fieldProblem("value", err.Error(), "write a number with its unit")
	}
	return n, nil
}

// fieldProblem is a request with a field that cannot be taken as it is.
func fieldProblem(field, wrong, hint string) error {
	return &page.Problem{Status: http.StatusUnprocessableEntity, Message: wrong, Hint: hint, Fields: []page.FieldProblem{{Field: field, Error: wrong}}}
}
