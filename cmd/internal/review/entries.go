package review

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"

	"arctally/acquire/record"
	"arctally/acquire/seal"
	"arctally/analyze/finding"
	"arctally/analyze/inspect"
	"arctally/cmd/internal/sealing"
	"arctally/report/picture"
)

// Picture is a photograph that goes into the record with an entry.
type Picture struct {
	inspect.Photograph
	content []byte
}

// newPicture writes a picture anew: nothing but its dots goes into a record.
func newPicture(content []byte, caption string) (p Picture, err error) {
	mime, anew, err := picture.Anew(content)
	sum := sha256.Sum256(anew)
	return Picture{content: anew, Photograph: inspect.Photograph{
		SHA256: hex.EncodeToString(sum[:]), Type: mime, Size: int64(len(anew)), Caption: caption,
	}}, err
}

// openPicture reads a picture, unless it is too large for a record.
func openPicture(file, caption string) (p Picture, err error) {
	f, err := os.Open(file)
	if err != nil {
		return p, err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	info, err := f.Stat()
	if err != nil {
		return p, err
	}
	if err := record.CheckPhotograph(file, info.Size()); err != nil {
		return p, err
	}
	content, err := io.ReadAll(f)
	if err != nil {
		return p, err
	}
	if p, err = newPicture(content, caption); err != nil {
		return p, fmt.Errorf("%s: %w", file, err)
	}
	return p, nil
}

// Putter takes what people put on record: a record's writer, or whoever has one.
type Putter interface {
	Entries(act []record.Entry) (first int64, err error)
	Photograph(mime string, content []byte) (digest string, err error)
	Sync() error
}

// PutEntries puts the entries of one act on record, their photographs before them, and returns them
// with their numbers once all is durable. Writer is that of a recording that goes on,
// or of record.Amend; known are the entries that are there. Where one of them is
// refused, nothing was written.
func PutEntries(writer Putter, known, act []inspect.Entry, pictures []Picture) ([]inspect.Entry, error) {
	// Whoever stands before a page has typed his name, and no key of his is at hand there.
	return putEntries(writer, known, act, pictures, func(string) (*seal.Key, error) { return nil, nil })
}

func putEntries(writer Putter, known, act []inspect.Entry, pictures []Picture, keyOf func(name string) (*seal.Key, error)) ([]inspect.Entry, error) {
	put := make([]record.Entry, len(act))
	for k := range act {
		e := &act[k]
		for _, p := range pictures {
			e.Photographs = append(slices.Clip(e.Photographs), p.Photograph)
		}
		text, err := e.Encode()
		if err == nil {
			err = e.Follows(known)
		}
		if err != nil {
			return nil, err
		}
		put[k] = record.Entry{Kind: string(e.Kind()), By: e.By, At: e.At, Text: text}
		if put[k].Key, err = keyOf(e.By); err != nil {
			return nil, err
		}
	}
	for _, p := range pictures {
		if _, err := writer.Photograph(p.Type, p.content); err != nil {
			return nil, err
		}
	}
	first, err := writer.Entries(put)
	if err != nil {
		return nil, err
	}
	for k := range act {
		act[k].Number = int(first) + k
		if key := put[k].Key; key != nil {
			act[k].Signed = key.Public().Fingerprint()
		}
	}
	return act, writer.Sync()
}

// AmendEntries is PutEntries for a record that nobody records into. Who has a key at hand
// vouches with it for what he puts there.
func AmendEntries(ctx context.Context, file string, known, act []inspect.Entry, pictures []Picture) ([]inspect.Entry, error) {
	err := Adding(ctx, file, func() error {
		writer, err := record.Amend(file)
		if err != nil {
			return err
		}
		sealing.Seal(writer)
		act, err = putEntries(writer, known, act, pictures, sealing.Person)
		return errors.Join(err, writer.Close())
	})
	return act, err
}

// ReadEntries returns what people put on record, oldest first.
func ReadEntries(reader *record.Reader) ([]inspect.Entry, error) {
	kept, err := reader.Entries()
	if err != nil {
		return nil, err
	}
	entries := make([]inspect.Entry, len(kept))
	for k, e := range kept {
		if entries[k], err = inspect.Decode(int(e.Number), inspect.Kind(e.Kind), e.By, e.At, e.Text); err != nil {
			return nil, fmt.Errorf("entry %d: %w", e.Number, err)
		}
		entries[k].Signed = e.Signed
	}
	return entries, nil
}

// OpenFindings counts the findings of a record that are open.
func OpenFindings(file string, findings []finding.Finding) (open int, err error) {
	reader, err := record.Open(file)
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	entries, err := ReadEntries(reader)
	book := inspect.Fold(entries, findings)
	return book.Open(), err
}
