package record

import (
	"arctally/acquire/series"
)

// Glance is what the heads of a window's first commit group say, without its samples.
type Glance struct {
	Group     int64
	Source    series.Source // in force
	Described bool          // there is one
	Rate      float64       // samples of voltage and current a second, or windows of sums; 0 is not known
}

// Glance looks at the first group with samples of an epoch in [from, until); false where
// there is none.
func (r *Reader) Glance(epoch int, from, until int64) (g Glance, ok bool, err error) {
	var first, last, samples int64
	const query = `SELECT number, first_tick, last_tick FROM commits INDEXED BY commits_by_tick
		WHERE epoch = ? AND last_tick BETWEEN ? AND ? AND first_tick < ? ORDER BY number LIMIT 1`
	err = r.each(query, []any{epoch, from, r.latestEnd(epoch, until), until}, func(scan func(...any) error) error {
		ok = true
		return scan(&g.Group, &first, &last)
	})
	if err != nil || !ok {
		return g, ok, err
	}
	if err := r.renewOwners(); err != nil {
		return g, ok, err
	}
	if g.Source, g.Described, err = r.sourceAt(g.Group, r.owners.epochs[epoch]); err != nil {
		return g, ok, err
	}
	const counting = "SELECT coalesce(sum(n), 0) FROM chunks WHERE id >= ? AND id < ? AND (part = 'all' AND kind IN ('arc', 'sums') OR part = 'voltage' OR part = 'sums')"
	err = r.each(counting, []any{g.Group * idsPerCommit, (g.Group + 1) * idsPerCommit}, func(scan func(...any) error) error { return scan(&samples) })
	if err == nil {
		err = r.unchanged()
	}
	if last > first && samples > 0 {
		g.Rate = float64(samples-1) / (float64(last-first) * 1e-9)
	}
	return g, ok, err
}
