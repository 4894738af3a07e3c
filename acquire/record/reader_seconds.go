package record

import (
	"fmt"

	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// Second is a summary of one channel over one second of an epoch.
type Second struct {
	Tick           int64   // where the second begins
	Min, Max, Mean float64 // in the unit of the channel, uncorrected
	Count          int64   // samples
}

// Seconds returns the summaries of a channel for the seconds that overlap
// [from, until), in order.
func (r *Reader) Seconds(channel, epoch int, from, until int64) ([]Second, error) {
	lines, err := r.lines(channel, epoch)
	if err != nil {
		return nil, err
	}
	var found []Second
	const query = `SELECT id, second, min, max, sum, "count" FROM seconds
		WHERE channel = ? AND epoch = ? AND second >= ? AND second <= ? ORDER BY second, id`
	args := []any{channel, epoch, secondOf(from), secondOf(until - 1)}
	err = r.each(query, args, func(scan func(...any) error) error {
		var id, second, count int64
		var low, high, sum float64
		if err := scan(&id, &second, &low, &high, &sum, &count); err != nil {
			return err
		}
		if count < 1 {
			return &Error{Kind: Damaged, Path: r.path, Commit: id / idsPerCommit, Row: id, Detail: fmt.Sprintf("seconds: count %d", count)}
		}
		s := lines.at(id).second(second*nanosPerSecond, low, high, sum, count)
		if n := len(found); n > 0 && found[n-1].Tick == s.Tick {
			found[n-1] = found[n-1].join(s)
			return nil
		}
		found = append(found, s)
		return nil
	})
	return found, err
}

// join makes one second of two parts of it.
func (s Second) join(t Second) Second {
	n := s.Count + t.Count
	mean := (s.Mean*float64(s.Count) + t.Mean*float64(t.Count)) / float64(n)
	return Second{Tick: s.Tick, Min: min(s.Min, t.Min), Max: max(s.Max, t.Max), Mean: mean, Count: n}
}

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
	err := r.each(`SELECT source, scale, "offset" FROM channels WHERE channel = ? ORDER BY id`, []any{channel},
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

// second turns the codes of a row into values; a negative scale swaps the ends.
func (l line) second(tick int64, low, high, sum float64, count int64) Second {
	a, b := l.Of(low), l.Of(high)
	mean := l.Of(sum / float64(count))
	return Second{Tick: tick, Min: min(a, b), Max: max(a, b), Mean: mean, Count: count}
}
