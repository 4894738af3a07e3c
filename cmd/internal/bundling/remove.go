package bundling

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"arctally/acquire/record"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/files"
	"arctally/report/handover"
)

// Removing says which record is to go from here, because a store has it.
type Removing struct {
	File string
	From handover.Store // that has it
	Try  bool           // look whether it may go, and leave it
	Now  func() time.Time
	Told func(what string) // hears what is about to be done
}

// Remove removes a record here, once its store was asked again, and every file of its bundle came back
// with the size and the SHA-256 that the manifest says. All the while nobody can go on with the record,
// and it goes only if it is the one of the bundle to the byte. First it is noted in its folder where it
// is; so whenever the program is killed, the record is here, or it is noted which store has it.
func Remove(ctx context.Context, r Removing) (gone Removed, err error) {
	gone, err = r.remove(ctx)
	if err == nil || errors.Is(err, context.Canceled) {
		return gone, err
	}
	return gone, r.refusal(err)
}

func (r *Removing) remove(ctx context.Context) (gone Removed, err error) {
	if err := r.apart(); err != nil {
		return gone, err
	}
	r.Told("verifying")
	removal, err := record.BeginRemoval(r.File)
	if err != nil {
		return gone, err
	}
	gone, err = r.ask(ctx)
	if err != nil || r.Try {
		return gone, errors.Join(err, removal.Leave())
	}
	r.Told("noting where it is")
	gone.At = r.Now().UTC()
	if err := gone.keep(filepath.Dir(r.File)); err != nil {
		return gone, errors.Join(err, removal.Leave())
	}
	r.Told("removing it here")
	if err := removal.Remove(); err != nil {
		return gone, errors.Join(err, gone.forget(r.File))
	}
	r.Told("removed")
	return gone, nil
}

// apart refuses a record that lies in a bundle: the store might be that very folder, under whatever name.
func (r *Removing) apart() error {
	beside := filepath.Join(filepath.Dir(r.File), handover.ManifestName)
	if _, err := os.Lstat(beside); !errors.Is(err, fs.ErrNotExist) {
		return errors.Join(err, &explain.Error{
			Kind: explain.InTheWay, Text: r.File + ": not removed: it lies in a bundle itself, which may be the one that the store has",
			Next: "a bundle that was taken out of a store is a folder like any other: remove it as a whole, if you know where the other one is",
		})
	}
	return nil
}

// ask reads the record through, and has the store give all of its bundle once more.
func (r *Removing) ask(ctx context.Context) (gone Removed, err error) {
	of, size, err := r.subject(ctx)
	if err != nil {
		return gone, err
	}
	r.Told("asking the store")
	b, err := handover.Read(ctx, r.From, of.Digest)
	if none, ok := errors.AsType[*handover.Error](err); ok && none.Kind == handover.Missing {
		return gone, r.says(err, "the store has no bundle of it as it is now", "hand it over first: "+r.give())
	}
	if err != nil {
		return gone, err
	}
	if err := b.ReadBack(ctx, func(name string) { r.Told("reading back " + name) }); err != nil {
		return gone, err
	}
	r.Told("comparing it with the record here")
	if err := r.compare(ctx, of, b); err != nil {
		return gone, err
	}
	return Removed{Record: files.Stem(r.File), Job: of.Job, Bytes: size, Bundle: of.Digest, Store: lasting(r.From), Files: len(b.Files) + 1}, nil
}

// subject says which record it is, once it was found whole and closed, and how many bytes it has.
func (r *Removing) subject(ctx context.Context) (of handover.Subject, size int64, err error) {
	info, err := os.Stat(r.File)
	if err != nil {
		return of, 0, err
	}
	reader, err := record.Open(r.File)
	if err != nil {
		return of, 0, err
	}
	reader.Under(ctx)
	of, _, err = closed(r.File, reader)
	return of, info.Size(), errors.Join(err, reader.Close())
}

// compare holds the record here against the one in the bundle.
func (r *Removing) compare(ctx context.Context, of handover.Subject, b *handover.Bundle) error {
	file, err := os.Open(r.File)
	if err != nil {
		return err
	}
	sum, err := handover.SumOf(file)
	if err = errors.Join(err, file.Close(), ctx.Err()); err != nil {
		return err
	}
	if own, _ := b.Entry(handover.RecordName); own.Sum != sum || b.Record != of.Record || b.Commits != of.Commits {
		return &handover.Error{Kind: handover.There, Where: (&Removed{Store: r.From.String(), Bundle: of.Digest}).Place(), Text: "the record in it is another one than the one here"}
	}
	return nil
}

// lasting names a store so that it is found from any folder.
func lasting(s handover.Store) string {
	where := s.String()
	if full, err := filepath.Abs(where); err == nil && !handover.IsRemote(where) {
		return full
	}
	return where
}

// refusal says why a record stays, and what to do about it.
func (r *Removing) refusal(err error) error {
	stored, ofStore := errors.AsType[*handover.Error](err)
	own, ofRecord := errors.AsType[*record.Error](err)
	_, said := errors.AsType[*explain.Error](err)
	switch {
	case said:
		return err
	case ofStore && (stored.Kind == handover.Missing || stored.Kind == handover.Torn):
		return r.says(err, "the store has not all of its bundle: "+err.Error(), "hand it over again, it goes on where it stopped: "+r.give())
	case ofStore:
		return r.says(err, err.Error(), stored.Hint())
	case ofRecord && own.Kind == record.Missing:
		return r.missing(err)
	case ofRecord && own.Kind == record.Busy:
		return r.says(err, err.Error(), "end what records into it or has it open, and try it again")
	case ofRecord && own.Kind == record.Changed:
		return r.says(err, err.Error(), "hand it over as it is now: "+r.give())
	case ofRecord && own.Kind == record.ReadOnly:
		return r.says(err, err.Error(), "let this user write in the folder of the record, and try it again")
	default:
		return r.says(err, err.Error(), explain.Of(err).Hint)
	}
}

func (r *Removing) says(cause error, why, next string) error {
	return &explain.Error{Kind: explain.InTheWay, Text: r.File + ": not removed: " + why, Next: next, Cause: cause}
}

func (r *Removing) give() string { return "arctally hand-over " + r.File + " -o " + r.From.String() }

// missing tells a record that was removed before from one that never was there.
func (r *Removing) missing(err error) error {
	before, unread := GoneFrom(filepath.Dir(r.File), files.Stem(r.File))
	if before != nil {
		return before.Gone(r.File)
	}
	return errors.Join(err, unread)
}
