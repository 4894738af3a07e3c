package record

import (
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"time"

	"arctally/acquire/seal"
)

// Entry is what a person put on record after welding. What its text says is not
// for the record to know.
type Entry struct {
	Number int64 // in the order of the record, from 1
	Kind   string
	At     time.Time
	By     string
	Text   string
	// The key of who puts it on record, which vouches for it; nil where he has none. Of
	// one that was read, Signed is the fingerprint of that key, and empty where By is a
	// name that somebody typed.
	Key    *seal.Key
	Signed string
}

// MaxEntry is the most bytes that the text of an entry may have.
const MaxEntry = 1 << 20

// bytesPerSample is about what a sample takes while it waits for the disk.
const bytesPerSample = 8

// Entries adds entries that are one act of one person, and returns the number of the first. They go
// on record in one commit: all of them, or none. They are durable after Sync.
func (w *Writer) Entries(act []Entry) (first int64, err error) {
	cost := 0
	for _, e := range act {
		switch {
		case e.Kind == "" || e.By == "" || e.Text == "" || e.At.IsZero():
			return 0, &Error{Kind: Incomplete, Path: w.path, Detail: "an entry says of what kind it is, who put it on record and when, and what it says"}
		case len(e.Text) > MaxEntry:
			return 0, &Error{Kind: TooLarge, Path: w.path, Detail: fmt.Sprintf("an entry of %d bytes, where %d are the most", len(e.Text), MaxEntry)}
		}
		cost += costOfRow + len(e.Text)/bytesPerSample
	}
	err = w.sized(cost, func(g *group) {
		first = w.entries + 1
		for _, e := range act {
			w.entries++
			e.Number = w.entries
			g.entries = append(g.entries, e)
		}
	})
	return first, err
}

// Entries returns the entries in the order of their numbers.
func (r *Reader) Entries() ([]Entry, error) {
	if has, err := r.has(&entriesTable); !has {
		return nil, err
	}
	var found []Entry
	var groups []int64 // that hold them
	err := r.each(`SELECT kind, at, "by", text, commit_number FROM entries WHERE `+ofGroups+` ORDER BY id`, nil, func(scan func(...any) error) error {
		e := Entry{Number: int64(len(found)) + 1}
		var at sql.NullInt64
		var group int64
		err := scan(&e.Kind, &at, &e.By, &e.Text, &group)
		e.At = moment(at)
		found, groups = append(found, e), append(groups, group)
		return err
	})
	if err == nil {
		err = r.signed(found, groups)
	}
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

// MaxPhotograph is the most bytes that a photograph may have.
const MaxPhotograph = 16 << 20

// photographPart is how many bytes of a photograph one row holds: neither the
// writing nor Verify needs memory for more than that at once.
const photographPart = 256 << 10

// CheckPhotograph refuses a photograph of so many bytes where a record takes none of
// that size; path is what the error names.
func CheckPhotograph(path string, size int64) error {
	const mebi = 1 << 20
	switch {
	case size <= 0:
		return &Error{Kind: Incomplete, Path: path, Detail: "a photograph without a byte"}
	case size > MaxPhotograph:
		return &Error{Kind: TooLarge, Path: path, Detail: fmt.Sprintf("a photograph of %.1f MiB (%d bytes), where %d MiB are the most", float64(size)/mebi, size, MaxPhotograph/mebi)}
	}
	return nil
}

// photograph waits to be written. Its bytes are the caller's, who waits for it.
type photograph struct {
	digest, kind string
	payload      []byte
}

// Photograph adds a photograph and returns the SHA-256 of its bytes, by which an
// entry names it; one that is there already is not stored again. It returns once
// the photograph is durable: samples go on meanwhile, and the photograph takes
// none of the memory in which they wait for the disk.
func (w *Writer) Photograph(kind string, payload []byte) (string, error) {
	if err := CheckPhotograph(w.path, int64(len(payload))); err != nil {
		return "", err
	}
	if kind == "" {
		return "", &Error{Kind: Incomplete, Path: w.path, Detail: "a photograph without a type"}
	}
	sum := sha256.Sum256(payload)
	digest := hex.EncodeToString(sum[:])
	w.picture.Lock() // one at a time, before the lock that samples need
	defer w.picture.Unlock()
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.pictures[digest] {
		return digest, w.refusal()
	}
	err := w.hold(w.arc(), costOfRow, func(g *group) { g.photographs = append(g.photographs, photograph{digest, kind, payload}) })
	if err == nil {
		err = w.flush()
	}
	if err != nil {
		return "", err
	}
	w.pictures[digest] = true
	return digest, nil
}

// photograph writes the rows of one photograph.
func (c *committer) photograph(p *photograph) error {
	for part, from := int64(0), 0; from < len(p.payload); part, from = part+1, from+photographPart {
		piece := p.payload[from:min(from+photographPart, len(p.payload))]
		if err := c.row(&photographsTable, p.digest, p.kind, int64(len(p.payload)), part, piece); err != nil {
			return err
		}
	}
	return nil
}

// Photograph returns a photograph of that SHA-256 and its type. Bytes that are
// not those of the digest any more are Damaged.
func (r *Reader) Photograph(digest string) (kind string, payload []byte, err error) {
	has, err := r.has(&photographsTable)
	if err != nil {
		return "", nil, err
	}
	if has {
		const query = "SELECT type, payload FROM photographs WHERE sha256 = ? AND " + ofGroups + " ORDER BY part"
		err = r.each(query, []any{digest}, func(scan func(...any) error) error {
			var piece []byte
			err := scan(&kind, &piece)
			payload = append(payload, piece...)
			return err
		})
	}
	switch sum := sha256.Sum256(payload); {
	case err != nil:
		return "", nil, err
	case payload == nil:
		return "", nil, &Error{Kind: Missing, Path: r.path, Detail: "a photograph " + digest}
	case hex.EncodeToString(sum[:]) != digest:
		return "", nil, &Error{Kind: Damaged, Path: r.path, Detail: "the photograph " + digest}
	}
	return kind, payload, r.unchanged()
}
