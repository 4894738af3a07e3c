package review

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"

	"arctally/acquire/record"
	"arctally/analyze/finding"
	"arctally/analyze/inspect"
)

// Picture is a photograph that goes into the record with an entry.
type Picture struct {
	inspect.Photograph
	content []byte
}

// newPicture knows a picture by its first bytes.
func newPicture(content []byte, caption string) Picture {
	sum := sha256.Sum256(content)
	return Picture{content: content, Photograph: inspect.Photograph{
		SHA256: hex.EncodeToString(sum[:]), Type: http.DetectContentType(content), Size: int64(len(content)), Caption: caption,
	}}
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
	return newPicture(content, caption), err
}

// PutEntry puts an entry on record, its photographs before it, and returns it
// with its number once all is durable. Writer is that of a recording that goes on,
// or of record.Amend; known are the entries that are there. Where the entry is
// refused, nothing was written.
func PutEntry(writer *record.Writer, known []inspect.Entry, e inspect.Entry, pictures []Picture) (inspect.Entry, error) {
	for _, p := range pictures {
		e.Photographs = append(e.Photographs, p.Photograph)
	}
	text, err := e.Encode()
	if err == nil {
		err = e.Follows(known)
	}
	if err != nil {
		return e, err
	}
	for _, p := range pictures {
		if _, err := writer.Photograph(p.Type, p.content); err != nil {
			return e, err
		}
	}
	number, err := writer.Entry(string(e.Kind()), e.By, e.At, text)
	e.Number = int(number)
	if err != nil {
		return e, err
	}
	return e, writer.Sync()
}

// AmendEntry is PutEntry for a record that nobody records into.
func AmendEntry(file string, known []inspect.Entry, e inspect.Entry, pictures []Picture) (inspect.Entry, error) {
	writer, err := record.Amend(file)
	if err != nil {
		return e, err
	}
	e, err = PutEntry(writer, known, e, pictures)
	return e, errors.Join(err, writer.Close())
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
