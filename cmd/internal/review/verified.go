package review

import (
	"context"
	"errors"
	"time"

	"arctally/acquire/record"
	"arctally/cmd/internal/shelf"
)

// A record that was read through and found whole is not read through again as long as
// nobody has touched its file. What is kept of that rests on the head, on what the system
// says of the file, and on the program. It is kept for who looks often at a long record;
// who must know reads all of it by the command verify, which keeps and believes nothing.
//
// Whoever may write into the shelf of a person, or set the clock of the machine, can have
// this program believe that an altered record is whole: he works with the rights of that
// person, and could as well exchange the program. A secret beside the shelf would be
// readable to him too. The checksum of the shelf is against damage alone.

// wholeness is that a record was read through at a moment, and found whole.
type wholeness struct{ at int64 } // Unix time, ns

// Verify reads the whole record and recomputes its chain, unless that was done before and
// nobody has touched the file since; from then on the sheet says what came of it. What is
// not as it was written is no error of the reading.
func (r *Review) Verify(ctx context.Context) error {
	since, err := wholeSince(ctx, r.Reader, r.File, r.opened)
	found, err := IntegrityOf(err)
	found.Since = since
	r.integrity = found
	return err
}

// Whole is Verify for who wants no more of a record. Since is when it was read through,
// and zero where that was now.
func Whole(ctx context.Context, file string) (since time.Time, err error) {
	opened := time.Now()
	reader, err := record.Open(file)
	if err != nil {
		return since, err
	}
	reader.Under(ctx)
	since, err = wholeSince(ctx, reader, file, opened)
	return since, errors.Join(err, reader.Close())
}

// wholeSince reads a record through that was opened at a moment, if need be.
func wholeSince(ctx context.Context, reader *record.Reader, file string, opened time.Time) (since time.Time, err error) {
	s := shelf.From(ctx)
	before, known := wholenessKey(s, reader, file, opened)
	var kept wholeness
	if known && s.Fetch(before, &kept) {
		return time.Unix(0, kept.at), nil
	}
	begun := time.Now()
	err = reader.Verify()
	if after, still := wholenessKey(s, reader, file, opened); err == nil && known && still && after == before {
		s.Put(before, &wholeness{begun.UnixNano()})
	}
	return since, err
}

// wholenessKey is the key of when a record was read through; false where what the reader
// reads may be another file, or one that is written into without that being seen.
func wholenessKey(s *shelf.Shelf, reader *record.Reader, file string, opened time.Time) (key shelf.Key, known bool) {
	t, known := touchOf(file)
	if s == nil || !known || !t.settled(opened) || !reader.Lasting() {
		return key, false
	}
	head, err := reader.Fingerprint()
	return s.Key(&struct {
		what, head string
		touch
	}{"whole", head, t}), err == nil
}
