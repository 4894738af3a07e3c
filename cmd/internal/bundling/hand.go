package bundling

import (
	"context"
	"errors"

	"arctally/acquire/record"
	"arctally/cmd/internal/review"
	"arctally/report/handover"
	"arctally/report/sheet"
)

// Handed is what came of handing a record over.
type Handed struct {
	handover.Given
	Digest string // of the bundle
	Before bool   // the store had all of it already
}

// Hand hands a closed record over. Scratch is a folder with room for the largest file of the bundle; told
// hears what is being done. The store is asked first: where it cannot be reached, or has all of it, the
// record is not read through.
func Hand(ctx context.Context, file string, to handover.Store, scratch string, told func(what string)) (h Handed, err error) {
	reader, err := record.Open(file)
	if err != nil {
		return h, err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	reader.Under(ctx)
	if h.Digest, err = reader.Fingerprint(); err != nil {
		return h, err
	}
	told("asking the store")
	if h.Before, err = handover.Has(ctx, to, h.Digest, file); err != nil || h.Before {
		return h, err
	}
	told("verifying")
	of, found, err := closed(file, reader)
	if err != nil {
		return h, err
	}
	told("judging")
	r, err := review.Judge(ctx, file, "", func(float64) {})
	if err != nil {
		return h, err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	r.Under(ctx)
	h.Given, err = hand(ctx, r, of, found, to, scratch, told)
	return h, err
}

func hand(ctx context.Context, r *review.Review, of handover.Subject, found *record.Sealing, to handover.Store, scratch string, told func(string)) (given handover.Given, err error) {
	head, err := r.Fingerprint()
	if err != nil {
		return given, err
	}
	if head != of.Digest {
		return given, &record.Error{Kind: record.Changed, Path: r.File, Detail: "somebody went on with it while it was handed over"}
	}
	r.KnowIntegrity(sheet.Integrity{Verified: true})
	r.AsHandedOver(handover.RecordName)
	r.Result.Profiles = nil // megabytes, of which nothing in a bundle shows anything
	return handover.Give(ctx, to, scratch, of, (&making{r, ctx}).files(found), told)
}
