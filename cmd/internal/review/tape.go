package review

import (
	"context"
	"os"

	"arctally/analyze"
	"arctally/cmd/internal/shelf"
)

// What the samples of a record came to is kept on a tape when they have been judged. Another
// limit is judged from that; what the tape does not fit to, such as another threshold of the arc,
// goes back to the samples.

// theTape is the part of a judgement that other limits are judged from.
const theTape = "tape"

// A tape may take a share of its record, and a small one a little more. One of a source so
// slow that each of its samples has a bucket would take more: the samples are as good there.
// Ours, no source.
const (
	tapeShare = 8
	leastTape = 1 << 20
)

// tapeKey is the key of the tape from which the record may be judged.
func (on restsOn) tapeKey(s *shelf.Shelf) shelf.Key {
	on.job = analyze.TapedBy(&on.job)
	return on.of(s, theTape)
}

// taping writes the tape of a record while it is judged; nil writes none.
type taping struct {
	draft *shelf.Draft
	tape  *shelf.Tape // of the judging that is under way
}

// newTaping prepares the tape of the record; nil where it cannot be told how long it may be.
func (r *Review) newTaping(s *shelf.Shelf, on restsOn) *taping {
	file, err := os.Stat(r.File)
	if err != nil {
		return nil
	}
	return &taping{draft: s.Draft(on.tapeKey(s), max(leastTape, file.Size()/tapeShare))}
}

// begin has an analysis write the tape: what one before it wrote is not kept.
func (t *taping) begin(run *analyze.Run) {
	if t != nil {
		t.tape = shelf.NewTape(t.draft)
		run.Tape(t.tape)
	}
}

// keep keeps the tape of the last analysis.
func (t *taping) keep() {
	if t != nil && t.tape != nil {
		t.tape.Keep()
	}
}

// drop keeps none.
func (t *taping) drop() {
	if t != nil {
		t.draft.Drop()
	}
}

// judgedByTape judges the record from a tape; false where there is none, or it does not fit.
func (r *Review) judgedByTape(ctx context.Context, s *shelf.Shelf, on restsOn) bool {
	pieces := s.Pieces(on.tapeKey(s))
	if pieces == nil {
		return false
	}
	defer pieces.Close()
	run, err := r.prepare(r.jobFile)
	if err != nil {
		return false
	}
	result, err := run.Play(shelf.NewPlayer(pieces, func() bool { return ctx.Err() == nil }))
	if err != nil {
		return false
	}
	r.judgedAs(result)
	return true
}
