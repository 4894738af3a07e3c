package jobfile

import (
	"errors"
	"os"
	"time"

	"arctally/acquire/record"
	"arctally/cmd/internal/explain"

	"arctally/cmd/internal/files"
)

// CreateRecord makes a record and puts the calibrations of the job into it.
func CreateRecord(file string, p *File, created time.Time) (*record.Writer, error) {
	meta := p.meta()
	meta.Created = created
	writer, err := record.Create(file, meta)
	if err != nil {
		return nil, err
	}
	for _, c := range p.Job.Instruments {
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

const RecordExtension = ".arctally"

// OtherJob is a record that is to be gone on with under another job file.
func OtherJob(file string) error {
	return &explain.Error{
		Kind: explain.InTheWay, Text: file + ": the record was made under another job file, or another version of it",
		Next: "record into a new file, or go on with the job file as it was",
	}
}
