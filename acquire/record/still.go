package record

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

// logSuffix names the file beside a record where SQLite puts the newest commits.
const logSuffix = "-wal"

// HasLog tells whether commits wait beside a record, in the "-wal" file, for who opens it next; so where that cannot be told.
func HasLog(path string) bool {
	info, err := os.Stat(path + logSuffix)
	return err == nil && info.Size() > 0 || err != nil && !errors.Is(err, fs.ErrNotExist)
}

// checkSize refuses a finished file that is shorter than its header says. SQLite
// alone would fill up a page that was cut with zeros.
func checkSize(path string) error {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return wrap(path, "open", err)
	case info.IsDir():
		return &Error{Kind: NotRecord, Path: path, Detail: "a folder"}
	case HasLog(path):
		return nil // the "-wal" file may hold the rest
	case info.Size() == 0:
		return &Error{Kind: Truncated, Path: path, Detail: "the file is empty"}
	}
	head, err := header(path)
	if err != nil {
		return err
	}
	pages := int64(binary.BigEndian.Uint32(head[28:]))
	size := int64(binary.BigEndian.Uint16(head[16:]))
	if size == 1 { // so SQLite writes 65536
		size = 1 << 16
	}
	if info.Size() < pages*size {
		return &Error{Kind: Truncated, Path: path, Detail: fmt.Sprintf("%d bytes of %d", info.Size(), pages*size)}
	}
	return nil
}

// sqliteMagic begins every SQLite file.
const sqliteMagic = "SQLite format 3\x00"

// header reads the first 32 bytes: SQLite's magic, page size and page count. It
// must not touch a file that this process writes: see writers.
func header(path string) ([32]byte, error) {
	var head [32]byte
	writers.Lock()
	defer writers.Unlock()
	if writers.active[key(path)] > 0 {
		return head, nil
	}
	f, err := os.Open(path)
	if err != nil {
		return head, wrap(path, "open", err)
	}
	n, err := io.ReadFull(f, head[:])
	if closed := f.Close(); closed != nil {
		return head, wrap(path, "read", closed)
	}
	switch {
	case string(head[:min(n, len(sqliteMagic))]) != sqliteMagic[:min(n, len(sqliteMagic))]:
		return head, &Error{Kind: NotRecord, Path: path, Detail: "not an SQLite file"}
	case errors.Is(err, io.ErrUnexpectedEOF):
		return head, &Error{Kind: Truncated, Path: path, Detail: fmt.Sprintf("only %d bytes", n)}
	default:
		return head, wrap(path, "read", err)
	}
}

// stillness is what shows that a file has not changed.
type stillness struct {
	known bool
	file  fs.FileInfo
}

func standing(path string) (stillness, error) {
	info, err := os.Stat(path)
	if err != nil {
		return stillness{}, err
	}
	return stillness{known: true, file: info}, nil
}

// unchanged refuses what was read from a finished record that somebody went on
// with meanwhile: without SQLite's locks it may be a mixture.
func (r *Reader) unchanged() error {
	if !r.still.known {
		return nil
	}
	now, err := standing(r.path)
	if err != nil {
		return wrap(r.path, "read", err)
	}
	if now.file.Size() != r.still.file.Size() || !now.file.ModTime().Equal(r.still.file.ModTime()) {
		return &Error{Kind: Changed, Path: r.path}
	}
	return nil
}

// Lasting tells whether the reader sees all there is, as one that is opened now would: it
// is of a finished record, and nobody has gone on with that or put another in its place.
func (r *Reader) Lasting() bool {
	if !r.still.known || HasLog(r.path) || r.unchanged() != nil {
		return false
	}
	now, err := os.Stat(r.path)
	return err == nil && os.SameFile(now, r.still.file)
}
