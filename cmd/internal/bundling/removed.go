package bundling

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/jobfile"
	"arctally/report/handover"
	"arctally/report/sheet"
)

// Removed is a record that is not here any more, because a store has it.
type Removed struct {
	Record string    `json:"record"` // the name of its file, without the ending
	Job    string    `json:"job"`
	Bytes  int64     `json:"bytes"`  // that the record had
	Bundle string    `json:"bundle"` // its digest
	Store  string    `json:"store"`
	Files  int       `json:"files"`       // of the bundle, with its manifest
	At     time.Time `json:"at,omitzero"` // when it was removed here; zero where it only might be
}

// notesFolder has a note for each record that was removed from the folder in which it lies.
const notesFolder = ".arctally-removed"

// Place is where the bundle is, as take wants it named.
func (r *Removed) Place() string { return strings.TrimRight(r.Store, "/") + "/" + r.Bundle }

// Gone is the error of who asks for the record where it was.
func (r *Removed) Gone(file string) error {
	return &explain.Error{
		Kind: explain.NotThere, Text: fmt.Sprintf("%s: it was removed here %s: the store has it as bundle %s", file, sheet.Minute(r.At), r.Bundle),
		Next: "arctally take " + r.Place(), OnPage: "have it taken back: arctally take, at the machine",
	}
}

// note is where it is noted. The same bytes may have lain here under several names.
func (r *Removed) note(folder string) (string, error) {
	name, err := handover.SumOf(strings.NewReader(r.Record))
	return filepath.Join(folder, notesFolder, r.Bundle+"-"+name.SHA256[:16]+".json"), err
}

// keep notes in a folder that the record is about to go, and where it is.
func (r *Removed) keep(folder string) error {
	note, err := r.note(folder)
	if err != nil {
		return err
	}
	text, err := json.MarshalIndent(r, "", "  ")
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(note), 0o755); err != nil {
		return err
	}
	return files.Write(note, func(w io.Writer) error {
		_, err := w.Write(append(text, '\n'))
		return err
	})
}

// forget takes back what was noted of a record that stayed.
func (r *Removed) forget(file string) error {
	note, err := r.note(filepath.Dir(file))
	return errors.Join(err, os.Remove(note))
}

// RemovedFrom returns the records that were removed from a folder, in the order of their names, and of one
// name the last. One that is there, because it was brought back or the program was killed before it went,
// is none of them. Beside an error stand those whose notes could be read.
func RemovedFrom(folder string) (found []Removed, err error) {
	notes, err := os.ReadDir(filepath.Join(folder, notesFolder))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	for _, entry := range notes {
		if filepath.Ext(entry.Name()) != ".json" || strings.HasPrefix(entry.Name(), ".") {
			continue // a note that was never whole
		}
		r, wrong := readNote(filepath.Join(folder, notesFolder, entry.Name()))
		if wrong != nil {
			err = errors.Join(err, wrong)
			continue
		}
		if _, err := os.Lstat(filepath.Join(folder, r.Record+jobfile.RecordExtension)); errors.Is(err, fs.ErrNotExist) {
			found = append(found, r)
		}
	}
	slices.SortFunc(found, func(a, b Removed) int {
		if a.Record != b.Record {
			return strings.Compare(a.Record, b.Record)
		}
		return b.At.Compare(a.At)
	})
	return slices.CompactFunc(found, func(a, b Removed) bool { return a.Record == b.Record }), err
}

// GoneFrom returns a record that was removed from a folder, by its name; nil is none, or beside an error
// maybe one whose note could not be read.
func GoneFrom(folder, name string) (*Removed, error) {
	found, err := RemovedFrom(folder)
	k, ok := slices.BinarySearchFunc(found, name, func(r Removed, name string) int { return strings.Compare(r.Record, name) })
	if !ok {
		return nil, err
	}
	return &found[k], nil
}

func readNote(note string) (r Removed, err error) {
	text, err := os.ReadFile(note)
	if err != nil {
		return r, err
	}
	if err = json.Unmarshal(text, &r); err == nil && (!handover.IsDigest(r.Bundle) || r.Record == "" || r.Record != filepath.Base(r.Record)) {
		err = errors.New("it does not say which record it is of, or which bundle")
	}
	if err != nil {
		return Removed{}, &explain.Error{
			Kind: explain.Unfit, Text: note + ": cannot be read: " + err.Error(),
			Next: "it notes where a record is that was removed here, and is needed for nothing else: move it away", Cause: err,
		}
	}
	return r, nil
}
