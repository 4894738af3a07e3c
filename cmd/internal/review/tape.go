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

// taping writes the tape of a record while it is judged, and puts its means away; nil does neither.
type taping struct {
	draft *shelf.Draft
	tape  *shelf.Tape // of the judging that is under way
	means *putAway
}

// newTaping prepares the tape of the record. Where it cannot be told how long it may be, it will
// be too long.
func (r *Review) newTaping(s *shelf.Shelf, on restsOn) *taping {
	var most int64
	if file, err := os.Stat(r.File); err == nil {
		most = max(leastTape, file.Size()/tapeShare)
	}
	return &taping{draft: s.Draft(on.tapeKey(s), most), means: newPutAway(s, on)}
}

// begin has an analysis write the tape and put its means away: what one before it wrote is not kept.
func (t *taping) begin(run *analyze.Run) {
	if t != nil {
		t.tape = shelf.NewTape(t.draft)
		run.Tape(t.tape)
		t.means.restart()
		run.PutAway(t.means.put)
	}
}

// drop keeps neither.
func (t *taping) drop() {
	t.draft.Drop()
	t.means.draft.Drop()
}

// judgedByTape judges the record from a tape, and keeps that; false where there is none, or it does not fit.
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
	means := newPutAway(s, on)
	run.PutAway(means.put)
	result, err := run.Play(shelf.NewPlayer(pieces, func() bool { return ctx.Err() == nil }))
	if err != nil {
		means.draft.Drop()
		return false
	}
	r.judgedAs(result)
	r.keepAs(on, s, means)
	return true
}
