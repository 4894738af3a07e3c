package outbox

import (
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"arctally/cmd/internal/bundling"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/jobfile"
)

// fileName lies in the folder of the jobs; its name begins with a dot, so that it is no job.
const fileName = ".arctally-hand-over.json"

// State is where a record stands.
type State string

// The states.
const (
	Waits  State = "waits"
	Given  State = "given"
	Failed State = "failed"     // it is not tried again
	Open   State = "not closed" // there is nothing to hand over yet
	Gone   State = "removed"    // it is not here any more, for a store has it
)

// Row is where one record stands.
type Row struct {
	Record string    `json:"record"` // the name of its file, without the ending
	State  State     `json:"state"`
	Bundle string    `json:"bundle,omitempty"` // the digest under which the store has it, or had it before it was gone on with
	At     time.Time `json:"at"`               // since when it is so
	Tries  int       `json:"tries,omitempty"`  // that failed, since it waits
	Again  time.Time `json:"again,omitzero"`   // when it is tried again
	Says   string    `json:"says,omitempty"`   // what went wrong
	Hint   string    `json:"hint,omitempty"`
	Touch  Touch     `json:"touch,omitzero"`  // of the file to which the state belongs
	Store  string    `json:"store,omitempty"` // of one that was removed here: which has it
}

// Touch is what the system says of a record's file, which every writing changes.
type Touch struct {
	Size    int64     `json:"size"`
	Written time.Time `json:"written"`
}

func (t Touch) same(o Touch) bool { return t.Size == o.Size && t.Written.Equal(o.Written) }

// List is where the records of a folder stand.
type List struct {
	Store string `json:"store"`
	Rows  []Row  `json:"records"`
}

// Read reads what was kept in a folder.
func Read(folder string) (List, error) {
	var l List
	text, err := os.ReadFile(filepath.Join(folder, fileName))
	if errors.Is(err, fs.ErrNotExist) {
		if _, err := os.Stat(folder); err != nil {
			return l, err
		}
		return l, &explain.Error{Kind: explain.NotThere, Text: folder + ": nothing was handed over from here", Next: "arctally serve --hand-over STORE " + folder}
	}
	if err != nil {
		return l, err
	}
	if err := json.Unmarshal(text, &l); err != nil {
		return List{}, &explain.Error{Kind: explain.Unfit, Text: filepath.Join(folder, fileName) + ": cannot be read: " + err.Error(), Next: "delete it: what the store has is not given again"}
	}
	return l, nil
}

// Look returns where the records of a folder stand, with those that were removed from it, as they stand
// there now: of one that is not there any more it is said whether a store has it, or nothing.
func Look(folder string) (List, error) {
	gone, err := bundling.RemovedFrom(folder)
	if err != nil {
		return List{}, err
	}
	l, err := Read(folder)
	if none, ok := errors.AsType[*explain.Error](err); ok && none.Kind == explain.NotThere && len(gone) > 0 {
		err = nil // nothing was given by itself, but by hand
	}
	if err != nil {
		return l, err
	}
	l.Rows = slices.DeleteFunc(l.Rows, func(r Row) bool {
		_, err := os.Lstat(filepath.Join(folder, r.Record+jobfile.RecordExtension))
		return r.State != Given && errors.Is(err, fs.ErrNotExist)
	})
	for k := range gone {
		l.put(Row{Record: gone[k].Record, State: Gone, Bundle: gone[k].Bundle, At: gone[k].At, Store: gone[k].Store})
	}
	return l, nil
}

// row finds the row of a record; nil is none.
func (l *List) row(record string) *Row {
	k, ok := slices.BinarySearchFunc(l.Rows, record, func(r Row, name string) int { return strings.Compare(r.Record, name) })
	if !ok {
		return nil
	}
	return &l.Rows[k]
}

// put puts a row in place of the one of its record.
func (l *List) put(r Row) {
	if own := l.row(r.Record); own != nil {
		*own = r
		return
	}
	l.Rows = append(l.Rows, r)
	slices.SortFunc(l.Rows, func(a, b Row) int { return strings.Compare(a.Record, b.Record) })
}

// keep keeps the list in a folder.
func (l *List) keep(folder string) error {
	text, err := json.MarshalIndent(l, "", "  ")
	if err != nil {
		return err
	}
	return files.Write(filepath.Join(folder, fileName), func(w io.Writer) error {
		_, err := w.Write(append(text, '\n'))
		return err
	})
}

// Words says where the record stands, in one line; minute writes a time.
func (r *Row) Words(minute func(time.Time) string) string {
	switch {
	case r.State == Given:
		return "handed over " + minute(r.At) + " as bundle " + r.Bundle
	case r.State == Gone:
		return "removed here " + minute(r.At) + ", in " + r.Store + " as bundle " + r.Bundle
	case r.State == Failed:
		return "not handed over: " + r.Says
	case r.State == Open:
		return "not closed, and not handed over"
	case r.Says != "":
		return "waits to be handed over, tried again " + minute(r.Again) + ": " + r.Says
	default:
		return "waits to be handed over"
	}
}
