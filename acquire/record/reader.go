package record

import (
	"context"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"math"
	"os"
	"slices"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/clock"
	"arctally/acquire/record/codec"
	"arctally/acquire/record/digest"
	"arctally/acquire/series"
)

// Reader reads a record, finished or still being written; it changes no byte
// of it. Its methods must not be called from several goroutines at once.
type Reader struct {
	path   string
	db     *sql.DB
	still  stillness // of a finished record
	meta   Meta
	fits   []clock.Fit // see Clock
	owners owners
	unzip  *codec.Unpacker
	kept   int           // groups that last beside the newest one
	spans  map[int]int64 // the longest group of each epoch of a finished record, ns
	// The first commit group that has digests; 0 is not yet known, the greatest number none.
	digested int64
	content  []byte          // of the digest that was read last
	under    context.Context // all reading ends with it; nil has no end
	digests  digest.Decoder
	// Of a finished record, once they were asked for: their reading grows with the job.
	happened *[]series.Event
	extents  *[]Span
}

// Open opens a record for reading. What it returns besides groups is as of now.
func Open(path string) (*Reader, error) { return open(path, (*Reader).readClock) }

// OpenSamples is Open for who asks for no wall time: it leaves the clock unread, of which a
// record has about as many rows as it has lasted seconds. The reader knows no wall time.
func OpenSamples(path string) (*Reader, error) {
	return open(path, func(*Reader) error { return nil })
}

func open(path string, clock func(*Reader) error) (*Reader, error) {
	r := &Reader{path: path, unzip: codec.NewUnpacker()}
	if err := r.open(clock); err != nil {
		if r.db != nil {
			err = also(err, r.db.Close())
		}
		return nil, single(path, err)
	}
	return r, nil
}

func (r *Reader) open(clock func(*Reader) error) error {
	if _, err := os.Stat(r.path); err != nil {
		return wrap(r.path, "open", err)
	}
	if err := checkSize(r.path); err != nil {
		return err
	}
	if err := r.connect(); err != nil {
		return err
	}
	if err := inspectFile(r.path, r.db); err != nil {
		return err
	}
	if err := r.readMeta(); err != nil {
		return err
	}
	if err := clock(r); err != nil {
		return err
	}
	return r.whose()
}

// connect opens a finished record as a file that does not change: that needs no
// files beside it, so that it can be read in a folder where none can be made.
// A record with a "-wal" file beside it is, or was, being written.
func (r *Reader) connect() error {
	query := forReading
	if !HasLog(r.path) {
		var err error
		if r.still, err = standing(r.path); err != nil {
			return wrap(r.path, "open", err)
		}
		query += "&immutable=1"
	}
	var err error
	r.db, err = connect(r.path, query)
	return err
}

// version returns the version of the record's format, as it is now.
func (r *Reader) version() (int64, error) { return identify(context.Background(), r.path, r.db) }

// Fingerprint returns the head of the hash chain in hexadecimal digits: it
// stands for every byte that was recorded.
func (r *Reader) Fingerprint() (string, error) {
	var head []byte
	err := r.each("SELECT hash FROM commits ORDER BY number DESC LIMIT 1", nil, func(scan func(...any) error) error { return scan(&head) })
	return hex.EncodeToString(head), err
}

// Reach says with which group the record begins, by its hash in hexadecimal digits, and how
// many it has: a record that went on begins as it did, and has more.
func (r *Reader) Reach() (begins string, groups int64, err error) {
	var first []byte
	err = r.each("SELECT hash FROM commits ORDER BY number LIMIT 1", nil, func(scan func(...any) error) error { return scan(&first) })
	if err != nil {
		return "", 0, err
	}
	err = r.each("SELECT count(*) FROM commits", nil, func(scan func(...any) error) error { return scan(&groups) })
	return hex.EncodeToString(first), groups, err
}

// Close ends the reading.
func (r *Reader) Close() error {
	if r.still.known {
		return wrap(r.path, "close", closeOrPark(r.path, r.db))
	}
	return wrap(r.path, "close", r.db.Close())
}

// Meta says what the record is about.
func (r *Reader) Meta() Meta { return r.meta }

// Clock returns what was known last of the relation between ticks and wall time: for each
// epoch whose wall time is known, the newest fit that knows it.
func (r *Reader) Clock() []clock.Fit { return r.fits }

// WallTime returns the wall time of a tick by the newest fit of its epoch; false
// where the wall time is not known.
func (r *Reader) WallTime(epoch int, tick int64) (time.Time, bool) {
	for k := range r.fits {
		if f := &r.fits[k]; f.Epoch == epoch {
			return f.At(tick), true
		}
	}
	return time.Time{}, false
}

func (r *Reader) readMeta() error {
	values, err := r.pairs("SELECT key, value FROM meta WHERE " + ofGroups)
	if err != nil {
		return err
	}
	documents, err := r.pairs("SELECT name, text FROM documents WHERE " + ofGroups)
	if err != nil {
		return err
	}
	created, err := time.Parse(time.RFC3339Nano, values[metaCreated])
	if err != nil {
		return &Error{Kind: Damaged, Path: r.path, Detail: "meta: created", Err: err}
	}
	r.meta = Meta{Job: values[metaJob], Procedure: values[metaProcedure], Documents: documents, Created: created}
	return nil
}

func (r *Reader) pairs(query string) (map[string]string, error) {
	found := map[string]string{}
	err := r.each(query, nil, func(scan func(...any) error) error {
		var name, value string
		err := scan(&name, &value)
		found[name] = value
		return err
	})
	return found, err
}

// readClock reads the clock backwards, past all that is older of an epoch: it has a row
// for every second that was recorded.
func (r *Reader) readClock() error {
	const newest = "SELECT id, epoch, tick, wall, slope, arrival FROM clock WHERE id < ? AND wall IS NOT NULL AND " +
		"epoch NOT IN (SELECT value FROM json_each(?)) AND " + ofGroups + " ORDER BY id DESC LIMIT 1"
	epochs, before := []int{}, int64(math.MaxInt64)
	for had := -1; had < len(r.fits); {
		had = len(r.fits)
		known, err := json.Marshal(epochs)
		if err != nil {
			return err
		}
		if err := r.each(newest, []any{before, string(known)}, func(scan func(...any) error) error {
			f, err := scanFit(scan, &before)
			r.fits, epochs = append(r.fits, f), append(epochs, f.Epoch)
			return err
		}); err != nil {
			return err
		}
	}
	return nil
}

// clock returns the fits that a condition chooses, oldest first.
func (r *Reader) clock(where string, args ...any) (fits []clock.Fit, err error) {
	err = r.each("SELECT id, epoch, tick, wall, slope, arrival FROM clock "+where+" ORDER BY id", args, func(scan func(...any) error) error {
		var id int64
		f, err := scanFit(scan, &id)
		fits = append(fits, f)
		return err
	})
	return fits, err
}

func scanFit(scan func(...any) error, id *int64) (f clock.Fit, err error) {
	var wall, arrival sql.NullInt64
	err = scan(id, &f.Epoch, &f.Tick, &wall, &f.Slope, &arrival)
	f.Wall, f.Arrival = moment(wall), moment(arrival)
	return f, err
}

// whose says whose the fits are.
func (r *Reader) whose() error {
	err := r.readOwners()
	for k := range r.fits {
		r.fits[k].Box = r.owners.epochs[r.fits[k].Epoch]
	}
	return err
}

// moment is the reverse of instant.
func moment(ns sql.NullInt64) time.Time {
	if !ns.Valid {
		return time.Time{}
	}
	return time.Unix(0, ns.Int64).UTC()
}

// Calibrations returns the calibrations, oldest first, each with the box to which its
// check binds it.
func (r *Reader) Calibrations() ([]calib.Timed, error) {
	bound, err := r.bindings()
	if err != nil {
		return nil, err
	}
	var found []calib.Timed
	const query = `SELECT id, epoch, tick, channel, gain, "offset", relative, date, due, certificate FROM calibrations WHERE ` + ofGroups + ` ORDER BY id`
	err = r.each(query, nil, func(scan func(...any) error) error {
		var id int64
		var c calib.Timed
		err := scan(&id, &c.Epoch, &c.Tick, &c.Channel, &c.Gain, &c.Offset, &c.Relative, &c.Date, &c.Due, &c.Certificate)
		at := checked{id / idsPerCommit, c.Epoch, c.Tick, c.Channel}
		if boxes := bound[at]; len(boxes) > 0 {
			c.Box, bound[at] = boxes[0], boxes[1:]
		}
		found = append(found, c)
		return err
	})
	return found, err
}

const selectEvents = `SELECT kind, epoch, tick, until, "count", text FROM events `

// Events returns all events in the order in which they were written. They are the reader's.
func (r *Reader) Events() ([]series.Event, error) {
	return onceStill(r, &r.happened, func() ([]series.Event, error) {
		return r.events(nil, selectEvents+"WHERE "+ofGroups+" ORDER BY id")
	})
}

// EventsWithin returns the events of an epoch that reach into [from, until), in the order
// in which they were written; of a finished record it may return others as well.
func (r *Reader) EventsWithin(epoch int, from, until int64) ([]series.Event, error) {
	if r.still.known {
		return r.Events()
	}
	return r.events(nil, selectEvents+"WHERE "+ofGroups+" AND epoch = ? AND tick < ? AND max(tick, until) >= ? ORDER BY id", epoch, until, from)
}

// onceStill reads something of a finished record once, and of one that grows anew.
func onceStill[V any](r *Reader, known **[]V, read func() ([]V, error)) ([]V, error) {
	if *known != nil {
		return slices.Clip(**known), nil
	}
	found, err := read()
	if err == nil && r.still.known {
		*known = &found
	}
	return slices.Clip(found), err
}

func (r *Reader) events(into []series.Event, query string, args ...any) ([]series.Event, error) {
	if err := r.each(query, args, func(scan func(...any) error) error {
		var e series.Event
		err := scan(&e.Kind, &e.Epoch, &e.Tick, &e.Until, &e.Count, &e.Text)
		into = append(into, e)
		return err
	}); err != nil {
		return into, err
	}
	return into, r.named(into)
}

// Under has all reading end with a context, which is asked at every query and every group,
// until another one is named.
func (r *Reader) Under(ctx context.Context) { r.under = ctx }

// wanted returns an error where nobody waits for what is read any more.
func (r *Reader) wanted() error {
	if r.under == nil {
		return nil
	}
	return r.under.Err()
}

// each calls row for every row of a query.
func (r *Reader) each(query string, args []any, row func(scan func(...any) error) error) error {
	if err := r.wanted(); err != nil {
		return err
	}
	rows, err := r.db.QueryContext(context.Background(), query, args...)
	if err != nil {
		return r.damage("read", err)
	}
	for rows.Next() {
		if err := row(rows.Scan); err != nil {
			return also(r.damage("read", err), rows.Close())
		}
	}
	if err := rows.Err(); err != nil {
		return also(r.damage("read", err), rows.Close())
	}
	return r.damage("read", rows.Close())
}

// damage is wrap for what was read: a value of the wrong type is damage too.
func (r *Reader) damage(doing string, err error) error {
	if err == nil {
		return nil
	}
	if gone := r.wanted(); gone != nil {
		return gone // it was broken off, and nothing is wrong with it
	}
	if changed := r.unchanged(); changed != nil {
		return changed // half of one state and half of another looks like damage
	}
	e := wrap(r.path, doing, err)
	var own *Error
	if errors.As(e, &own) && own.Kind == Failed {
		own.Kind = Damaged
	}
	return e
}

// Span is a stretch of an epoch that has samples.
type Span struct {
	Box         int // whose epoch it is
	Epoch       int
	First, Last int64 // ticks
	Samples     int64
}

// Epochs returns the extent of every epoch that has samples. They are the reader's.
func (r *Reader) Epochs() ([]Span, error) { return onceStill(r, &r.extents, r.readExtents) }

func (r *Reader) readExtents() ([]Span, error) {
	var found []Span
	const query = `SELECT epoch, min(first_tick), max(last_tick), sum(samples) FROM commits
		WHERE first_tick IS NOT NULL GROUP BY epoch ORDER BY epoch`
	err := r.each(query, nil, func(scan func(...any) error) error {
		var s Span
		err := scan(&s.Epoch, &s.First, &s.Last, &s.Samples)
		found = append(found, s)
		return err
	})
	if err == nil {
		err = r.renewOwners()
	}
	for k := range found {
		found[k].Box = r.owners.epochs[found[k].Epoch]
	}
	return found, err
}

// sourceAt returns the source of a box that is in force in a commit group.
func (r *Reader) sourceAt(number int64, box int) (s series.Source, ok bool, err error) {
	query, args := "SELECT id, description FROM sources WHERE id > 1000000 AND id < ? ORDER BY id DESC LIMIT 1", []any{(number + 1) * idsPerCommit}
	if len(r.owners.sources) > 0 {
		query = `SELECT id, description FROM sources WHERE id > 1000000 AND id < ?
			AND CASE WHEN json_valid(description) THEN coalesce(json_extract(description, '$.box'), 0) ELSE ? END = ? ORDER BY id DESC LIMIT 1`
		args = append(args, box, box)
	}
	err = r.each(query, args, func(scan func(...any) error) error {
		var id int64
		var description string
		if err := scan(&id, &description); err != nil {
			return err
		}
		ok = true
		if s, err = decodeSource(description); err != nil {
			return &Error{Kind: Damaged, Path: r.path, Commit: id / idsPerCommit, Row: id, Detail: "sources", Err: err}
		}
		return nil
	})
	return s, ok, err
}
