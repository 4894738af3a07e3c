package record

import (
	"fmt"

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
	const query = "SELECT id, text FROM documents WHERE name LIKE ? ORDER BY id"
	err := r.each(query, []any{checkNames}, func(scan func(...any) error) error {
		var id int64
		var text string
		if err := scan(&id, &text); err != nil {
			return err
		}
		c, err := calib.DecodeCheck(text)
		if err != nil {
			return &Error{Kind: Damaged, Path: r.path, Commit: id / idsPerCommit, Row: id, Detail: "documents", Err: err}
		}
		found = append(found, c)
		return nil
	})
	return found, err
}
