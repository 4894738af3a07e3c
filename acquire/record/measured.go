package record

import (
	"encoding/hex"
	"fmt"
	"slices"
)

// unmeasured are the tables that say nothing of what was measured, or of what happened
// meanwhile: what people found and decided later, with their pictures; seals; documents,
// set-up checks among them, whose calibrations have a table of their own; summaries of
// what other tables hold; and what explains the format, which a later version explains
// anew. A table that is not named here counts.
var unmeasured = []*table{&aboutTable, &documentsTable, &secondsTable, &entriesTable, &photographsTable, &digestsTable, &sealsTable}

// Measured returns the head of the chain after the last commit group in which anything was
// measured, or happened, in hexadecimal digits. It stands for all of that: what people find
// and decide later leaves it as it is, and nothing else does.
func (r *Reader) Measured() (string, error) {
	version, err := r.version()
	if err != nil {
		return "", err
	}
	var last int64
	for _, t := range tablesOf(version) {
		if slices.Contains(unmeasured, t) {
			continue
		}
		query := fmt.Sprintf("SELECT coalesce(max(id), 0) / %d FROM %s WHERE %s", idsPerCommit, t.name, ofGroups)
		if err := r.each(query, nil, func(scan func(...any) error) error {
			var group int64
			err := scan(&group)
			last = max(last, group)
			return err
		}); err != nil {
			return "", err
		}
	}
	var head []byte
	err = r.each("SELECT hash FROM commits WHERE number = ?", []any{last}, func(scan func(...any) error) error { return scan(&head) })
	return hex.EncodeToString(head), err
}
