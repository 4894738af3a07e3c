package record

import (
	"database/sql"
	"fmt"
	"math"

	"arctally/acquire/calib"
)

// checkName names the document that holds the k-th check of a commit group.
func checkName(commit int64, k int) string { return fmt.Sprintf("check-%d-%d.json", commit, k) }

// checkNames is what the names of all such documents look like, to SQL.
const checkNames = "check-%.json"

// Check adds a set-up check as it is now, and its calibration if it has one. Both
// hold from the end of what is recorded on; it sets the check's epoch and tick
// to that place.
func (w *Writer) Check(c *calib.Check) error {
	if epoch, tick, any := w.Last(); any {
		c.Epoch, c.Tick = epoch, tick+1
	}
	text, err := c.Encode()
	if err != nil {
		return &Error{Kind: Failed, Path: w.path, Detail: "write down the check", Err: err}
	}
	return w.other(func(g *group) {
		g.checks = append(g.checks, text)
		if c.Calibration != nil {
			g.calibrations = append(g.calibrations, calib.Timed{Calibration: *c.Calibration, Epoch: c.Epoch, Tick: c.Tick})
		}
	})
}

// Checks returns the set-up checks, oldest first.
func (r *Reader) Checks() ([]*calib.Check, error) {
	var found []*calib.Check
	err := r.eachCheck(func(_ int64, c *calib.Check) { found = append(found, c) })
	return found, err
}

// eachCheck calls take for every set-up check with its commit group, oldest first.
func (r *Reader) eachCheck(take func(commit int64, c *calib.Check)) error {
	const query = "SELECT id, text FROM documents WHERE name LIKE ? AND " + ofGroups + " ORDER BY id"
	return r.each(query, []any{checkNames}, func(scan func(...any) error) error {
		var id int64
		var text string
		if err := scan(&id, &text); err != nil {
			return err
		}
		c, err := calib.DecodeCheck(text)
		if err != nil {
			return &Error{Kind: Damaged, Path: r.path, Commit: id / idsPerCommit, Row: id, Detail: "documents", Err: err}
		}
		take(id/idsPerCommit, c)
		return nil
	})
}

// checked is where the calibration of a check stands in the table of calibrations.
type checked struct {
	commit  int64
	epoch   int
	tick    int64
	channel string
}

// bindings are the boxes that the calibrations of checks are bound to, in their order:
// the table of calibrations has no column for it, the document of the check says it.
func (r *Reader) bindings() (map[checked][]string, error) {
	bound := map[checked][]string{}
	err := r.eachCheck(func(commit int64, c *calib.Check) {
		if k := c.Calibration; k != nil {
			at := checked{commit, c.Epoch, c.Tick, k.Channel}
			bound[at] = append(bound[at], k.Box)
		}
	})
	return bound, err
}

// speakersQuery has every source with the last tick that was recorded of its epoch before. The plus keeps SQLite from going
// back through all ticks of the epoch in search of one before it: nearly always there is none.
const speakersQuery = `SELECT s.id, s.description, c.epoch, (SELECT max(+b.last_tick) FROM commits b WHERE b.epoch = c.epoch AND b.number < c.number)
	FROM sources s JOIN commits c ON c.number = s.commit_number ORDER BY s.id`

// Speakers returns who tells the arc, and from which place on: after all that was
// recorded of that epoch before.
func (r *Reader) Speakers() (calib.Speakers, error) {
	var found calib.Speakers
	err := r.each(speakersQuery, nil, func(scan func(...any) error) error {
		var id int64
		var description string
		var before sql.NullInt64
		one := calib.Speaker{Tick: math.MinInt64}
		if err := scan(&id, &description, &one.Epoch, &before); err != nil {
			return err
		}
		if before.Valid {
			one.Tick = before.Int64 + 1
		}
		var err error
		if one.Source, err = decodeSource(description); err != nil {
			return &Error{Kind: Damaged, Path: r.path, Commit: id / idsPerCommit, Row: id, Detail: "sources", Err: err}
		}
		if one.Source.Box == 0 {
			found = append(found, one)
		}
		return nil
	})
	return found, err
}
