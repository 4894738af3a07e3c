package record

import (
	"database/sql"
	"fmt"
	"time"
)

// Entry is what a person put on record after welding. What its text says is not
// for the record to know.
type Entry struct {
	Number int64 // in the order of the record, from 1
	Kind   string
	At     time.Time
	By     string
	Text   string
}

// MaxEntry is the most bytes that the text of an entry may have.
const MaxEntry = 1 << 20

// bytesPerSample is about what a sample takes while it waits for the disk.
const bytesPerSample = 8

// Entry adds an entry and returns its number. It is durable after Sync.
func (w *Writer) Entry(kind, by string, at time.Time, text string) (int64, error) {
	switch {
	case kind == "" || by == "" || text == "" || at.IsZero():
		return 0, &Error{Kind: Incomplete, Path: w.path, Detail: "an entry says of what kind it is, who put it on record and when, and what it says"}
	case len(text) > MaxEntry:
		return 0, &Error{Kind: TooLarge, Path: w.path, Detail: fmt.Sprintf("an entry of %d bytes, where %d are the most", len(text), MaxEntry)}
	}
	number := int64(0)
	err := w.sized(costOfRow+len(text)/bytesPerSample, func(g *group) {
		w.entries++
		number = w.entries
		g.entries = append(g.entries, Entry{Number: number, Kind: kind, At: at, By: by, Text: text})
	})
	return number, err
}

// Entries returns the entries in the order of their numbers.
func (r *Reader) Entries() ([]Entry, error) {
	if has, err := r.has(&entriesTable); !has {
		return nil, err
	}
	var found []Entry
	err := r.each(`SELECT kind, at, "by", text FROM entries ORDER BY id`, nil, func(scan func(...any) error) error {
		e := Entry{Number: int64(len(found)) + 1}
		var at sql.NullInt64
		err := scan(&e.Kind, &at, &e.By, &e.Text)
		e.At = moment(at)
		found = append(found, e)
		return err
	})
	if err != nil {
		return nil, err
	}
	return found, r.unchanged()
}

// has tells whether the record has a table: one of an older version may not, and
// may get it while it is read.
func (r *Reader) has(t *table) (bool, error) {
	version, err := r.version()
	return err == nil && version >= t.since, err
}
