package record

import (
	"math"
	"slices"

	"arctally/acquire/record/digest"
)

// nanosPerSecond divides the ticks of an epoch into the seconds of the table seconds.
const nanosPerSecond = 1_000_000_000

// levelOfSecond is the level of digests whose cells last a second.
const levelOfSecond = 2

// worthTwo is how many groups are worth a second reader: an hour's.
const worthTwo = 3600

// older takes the groups before digests: by the table seconds, of many groups in two
// halves side by side; or by their samples, where cells are shorter than a second.
func (w *window) older() error {
	if w.level < levelOfSecond {
		return w.each("commits_by_tick", "c.last_tick <= ? AND c.number < ?", w.reader.latestEnd(w.epoch, w.until), w.reader.digested)
	}
	first, last, err := w.reader.commitsOf(w.epoch, w.from, w.until)
	if err != nil || first == 0 {
		return err
	}
	last = min(last, w.reader.digested-1)
	if last-first < worthTwo {
		return w.seconds(first, last)
	}
	return w.inHalves(first, last)
}

// inHalves reads the later half of some groups with a reader of its own.
func (w *window) inHalves(first, last int64) error {
	other, err := Open(w.reader.path)
	if err != nil {
		return err
	}
	later, middle := *w, (first+last)/2
	later.reader, later.channels = other, slices.Clone(w.channels)
	var failed error
	done := make(chan struct{})
	go func() {
		defer close(done)
		failed = also(later.seconds(middle+1, last), other.Close())
	}()
	err = w.seconds(first, middle)
	<-done
	if err = also(err, failed); err != nil {
		return err
	}
	for k := range later.channels {
		for _, e := range later.channels[k].found {
			w.channels[k].join(e)
		}
	}
	return nil
}

// seconds takes the summaries that commit groups have in the table seconds.
func (w *window) seconds(first, last int64) error {
	numbers := make([]int, len(w.channels))
	for k := range w.channels {
		numbers[k] = w.channels[k].channel
	}
	// By row id, which is the order on the disk: the index would fetch every row
	// from another place. What a row costs is the handing over of its columns.
	const query = `SELECT id, second * 256 + channel, min, max FROM seconds NOT INDEXED
		WHERE id >= ? AND id < ? AND channel <= ? AND epoch = ? ORDER BY id`
	args := []any{first * idsPerCommit, (last + 1) * idsPerCommit, slices.Max(numbers), w.epoch}
	ratio := digest.Length(w.level) / nanosPerSecond
	var columns [4]any
	into := []any{&columns[0], &columns[1], &columns[2], &columns[3]}
	return w.reader.each(query, args, func(scan func(...any) error) error {
		if err := scan(into...); err != nil {
			return err
		}
		id, _ := columns[0].(int64)
		place, placed := columns[1].(int64)
		low, lowest := columns[2].(float64)
		high, highest := columns[3].(float64)
		if !placed || !lowest || !highest {
			return &Error{Kind: Damaged, Path: w.reader.path, Commit: id / idsPerCommit, Row: id, Detail: "seconds: not a number"}
		}
		if k := slices.Index(numbers, int(place&255)); k >= 0 {
			w.add(&w.channels[k], id/idsPerCommit, digest.Floor(place>>8, ratio), &digest.Cell{Low: low, High: high})
		}
		return nil
	})
}

// commitsOf returns the first and the last group with samples of an epoch in
// [from, until), and two zeros where there is none.
func (r *Reader) commitsOf(epoch int, from, until int64) (first, last int64, err error) {
	const query = `SELECT ifnull(min(number), 0), ifnull(max(number), 0) FROM commits
		WHERE epoch = ? AND last_tick BETWEEN ? AND ? AND first_tick < ?`
	err = r.each(query, []any{epoch, from, r.latestEnd(epoch, until), until}, func(scan func(...any) error) error { return scan(&first, &last) })
	return first, last, err
}

// latestEnd returns a tick after which no group ends that begins before until, so that
// the index need not be gone through to its end. Groups from before digests may last for
// as long as they like; of a record that grows they are not looked at.
func (r *Reader) latestEnd(epoch int, until int64) int64 {
	if r.renewDigested() == nil && r.digested == 1 { // else the query that asks will meet the same error
		return later(until, maxGroupTime)
	}
	if !r.still.known {
		return math.MaxInt64
	}
	if r.spans == nil {
		spans := map[int]int64{}
		const query = `SELECT epoch, max(last_tick - first_tick) FROM commits WHERE first_tick IS NOT NULL GROUP BY epoch`
		err := r.each(query, nil, func(scan func(...any) error) error {
			var epoch int
			var longest int64
			err := scan(&epoch, &longest)
			spans[epoch] = longest
			return err
		})
		if err != nil {
			return math.MaxInt64
		}
		r.spans = spans
	}
	return later(until, uint64(max(0, r.spans[epoch])))
}
