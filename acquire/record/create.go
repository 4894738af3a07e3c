package record

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"arctally/acquire/series"
	"arctally/acquire/system"
)

// Create makes a new record and refuses an existing file. A crash meanwhile
// leaves no record at all rather than a part of one.
func Create(path string, m Meta) (*Writer, error) { return create(path, m, defaults()) }

func create(path string, m Meta, o options) (*Writer, error) {
	held, err := lock(path)
	if err != nil {
		return nil, err
	}
	w := newWriter(path, held, o)
	if err := w.createFile(m); err != nil {
		return nil, also(err, w.abandon())
	}
	if err := w.resume(false); err != nil {
		return nil, also(err, w.abandon())
	}
	return w.start(), nil
}

// newSuffix names a record that is being made, until it is whole.
const newSuffix = "-new"

// createFile makes the file under another name and renames it once it is durable.
func (w *Writer) createFile(m Meta) error {
	if _, err := os.Lstat(w.path); err == nil {
		return &Error{Kind: Exists, Path: w.path}
	}
	made := w.path + newSuffix
	if err := also(remove(made), remove(made+"-journal")); err != nil { // left by a crash
		return wrap(w.path, "create", err)
	}
	if m.Created.IsZero() {
		m.Created = w.option.now()
	}
	if err := fillNew(made, m, w.option.now); err != nil {
		return also(err, remove(made))
	}
	if err := system.Rename(made, w.path); err != nil {
		return wrap(w.path, "create", err)
	}
	return wrap(w.path, "sync the folder", system.SyncFolder(filepath.Dir(w.path)))
}

// fillNew makes a file with the tables and the first commit.
func fillNew(path string, m Meta, now func() time.Time) error {
	db, err := connect(path, forMaking)
	if err != nil {
		return err
	}
	conn, err := db.Conn(context.Background())
	if err != nil {
		return also(wrap(path, "create", err), db.Close())
	}
	c := newCommitter(path, conn, now)
	err = c.first(m)
	return also(err, errors.Join(c.close(), conn.Close(), db.Close()))
}

// Append opens a record to go on with it, after a stop or a crash. It adds a
// Resumed event, and sets Break on the first block of each kind: whatever came
// between is missing.
func Append(path string) (*Writer, error) { return appendTo(path, defaults()) }

func appendTo(path string, o options) (*Writer, error) {
	w, err := reopen(path, o)
	if err != nil {
		return nil, err
	}
	epoch, tick, _ := w.Last()
	return w, w.Event(series.Event{
		Kind: series.Resumed, Epoch: epoch, Tick: tick, Until: tick,
		Text: "The record was opened again to go on.",
	})
}

// Amend opens a record to add what no source measures, such as a check. Unlike
// Append it leaves no event: the measurement does not go on.
func Amend(path string) (*Writer, error) { return reopen(path, defaults()) }

func reopen(path string, o options) (*Writer, error) {
	if _, err := os.Stat(path); err != nil {
		return nil, wrap(path, "open", err)
	}
	held, err := lock(path)
	if err != nil {
		return nil, err
	}
	w := newWriter(path, held, o)
	if err := w.resume(true); err != nil {
		return nil, also(err, w.abandon())
	}
	return w.start(), nil
}

// resume takes up the chain, the source and the place where the record stops. What
// comes does not follow what is there, if there is anything.
func (w *Writer) resume(there bool) error {
	if err := checkSize(w.path); err != nil {
		return err
	}
	if err := w.connect(); err != nil {
		return err
	}
	last, err := w.commit.resume()
	if err != nil {
		return err
	}
	w.commit.sealing.wrote = w.commit.sealing.wrote || !there
	w.resumed, w.next, w.acknowledged = there, last.next, last.samples
	arc := w.arc()
	arc.epoch, arc.tick, arc.hasTick = last.epoch, last.tick, last.hasTick
	arc.source, arc.hasSource = last.source, last.hasSource
	w.entries, w.pictures = last.entries, last.pictures
	return nil
}

// remove deletes a file if it is there.
func remove(name string) error {
	if err := os.Remove(name); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}
