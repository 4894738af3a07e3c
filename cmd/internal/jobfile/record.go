package jobfile

import (
	"errors"
	"os"
	"time"

	"arctally/acquire/record"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/sealing"
)

// CreateRecord makes a record and puts the calibrations of the job into it. A job with a
// value outside of what is usual has none, until its file says the value again.
func (f *File) CreateRecord(file string, created time.Time) (*record.Writer, error) {
	if err := f.Unsure(); err != nil {
		return nil, err
	}
	meta := f.meta()
	meta.Created = created
	writer, err := record.Create(file, meta)
	if err != nil {
		return nil, err
	}
	sealing.Seal(writer)
	for _, c := range f.Instruments {
		if err := writer.Calibration(c, 0, 0); err != nil {
			return nil, errors.Join(err, Discard(writer, file))
		}
	}
	return writer, nil
}

// Discard takes a record away that never came to hold anything.
func Discard(writer *record.Writer, file string) error {
	return errors.Join(writer.Close(), os.Remove(file))
}

// RecordName is the name of a record that is made from another file, in the
// current folder.
func RecordName(file, mark string) string { return files.Stem(file) + mark + RecordExtension }

// RecordExtension ends the name of every record.
const RecordExtension = ".arctally"

// MadeRecord returns an error where a record that is to be gone on with was made
// under another job file; made is what the record says of itself.
func (f *File) MadeRecord(file string, made record.Meta) error {
	if made.Documents[Document] == f.Documents[Document] {
		return nil
	}
	return &explain.Error{
		Kind: explain.InTheWay, Text: file + ": the record was made under another job file, or another version of it",
		Next: "record into a new file, or go on with the job file as it was",
	}
}
