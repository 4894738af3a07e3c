package record

import (
	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// line is the scale of a channel from a row id on.
type line struct {
	from int64
	calib.Line
}

type lines []line

// lines returns the scales of a channel of the box whose epoch it is. Slow values are
// in their unit already.
func (r *Reader) lines(channel, epoch int) (lines, error) {
	found := lines{{Line: calib.InUnit()}}
	if channel > series.CurrentChannel {
		return found, nil
	}
	if err := r.renewOwners(); err != nil {
		return nil, err
	}
	box := r.owners.epochs[epoch]
	err := r.each(`SELECT source, scale, "offset" FROM channels WHERE channel = ? AND `+ofGroups+` ORDER BY id`, []any{channel},
		func(scan func(...any) error) error {
			var l line
			err := scan(&l.from, &l.Scale, &l.Offset)
			if r.owners.sources[l.from] == box {
				found = append(found, l)
			}
			return err
		})
	return found, err
}

// at returns the scale in force for a row.
func (l lines) at(id int64) line {
	k := len(l) - 1
	for k > 0 && l[k].from/idsPerCommit > id/idsPerCommit {
		k--
	}
	return l[k]
}

// between returns lowest and highest in the unit of the channel; a negative scale swaps
// them.
func (l line) between(low, high float64) (least, most float64) {
	a, b := l.Of(low), l.Of(high)
	return min(a, b), max(a, b)
}
