package record

import (
	"math"
	"slices"
)

// Extremes is the lowest and the highest of a channel in one second of an epoch.
type Extremes struct {
	Tick     int64   // where the second begins
	Min, Max float64 // in the unit of the channel, uncorrected
}

// Extremes returns, for each of the channels, the extremes of the seconds that
// overlap [from, until), in the order in which they were recorded. It reads all
// channels in one go, and is what a long window takes. Of a finished record it
// keeps what it read, for windows within the one before.
func (r *Reader) Extremes(channels []int, epoch int, from, until int64) ([][]Extremes, error) {
	from, until = wholeSeconds(from, until)
	if k := r.kept; k != nil && k.epoch == epoch && k.from <= from && until <= k.until && slices.Equal(k.channels, channels) {
		return k.within(from, until), r.unchanged()
	}
	found, err := r.extremes(channels, epoch, from, until)
	if err == nil && r.still.known {
		r.kept, err = &extremes{epoch, from, until, slices.Clone(channels), found}, r.unchanged()
	}
	return found, err
}

// wholeSeconds widens a stretch to whole seconds, as far as ticks go.
func wholeSeconds(from, until int64) (int64, int64) {
	if from > math.MinInt64+nanosPerSecond {
		from = secondOf(from) * nanosPerSecond
	}
	if until < math.MaxInt64-nanosPerSecond {
		until = (secondOf(until-1) + 1) * nanosPerSecond
	}
	return from, until
}

// extremes are those of a window that was read.
type extremes struct {
	epoch       int
	from, until int64
	channels    []int
	found       [][]Extremes
}

// within returns the extremes of a shorter window.
func (e *extremes) within(from, until int64) [][]Extremes {
	part := make([][]Extremes, len(e.found))
	for k := range e.found {
		for _, s := range e.found[k] {
			if s.Tick >= from && s.Tick < until {
				part[k] = append(part[k], s)
			}
		}
	}
	return part
}

// worthTwo is how many groups are worth a second reader: an hour's.
const worthTwo = 3600

// extremes reads the summaries of whole seconds, of many groups in two halves
// side by side.
func (r *Reader) extremes(channels []int, epoch int, from, until int64) ([][]Extremes, error) {
	first, last, err := r.commitsOf(epoch, from, until)
	if err != nil || len(channels) == 0 {
		return make([][]Extremes, len(channels)), err
	}
	if last-first < worthTwo {
		return r.extremesOf(first, last, channels, epoch, from, until)
	}
	return r.inHalves(first, last, channels, epoch, from, until)
}

// inHalves reads the later half of some groups with a reader of its own.
func (r *Reader) inHalves(first, last int64, channels []int, epoch int, from, until int64) ([][]Extremes, error) {
	other, err := Open(r.path)
	if err != nil {
		return nil, err
	}
	var later [][]Extremes
	var failed error
	done, middle := make(chan struct{}), (first+last)/2
	go func() {
		defer close(done)
		later, failed = other.extremesOf(middle+1, last, channels, epoch, from, until)
		failed = also(failed, other.Close())
	}()
	found, err := r.extremesOf(first, middle, channels, epoch, from, until)
	<-done
	if err = also(err, failed); err != nil {
		return nil, err
	}
	for k := range later {
		for _, e := range later[k] {
			found[k] = e.extend(found[k])
		}
	}
	return found, nil
}

// extremesOf reads the summaries that lie in some commit groups.
func (r *Reader) extremesOf(first, last int64, channels []int, epoch int, from, until int64) ([][]Extremes, error) {
	found := make([][]Extremes, len(channels))
	scales := make([]lines, len(channels))
	for k, channel := range channels {
		var err error
		if scales[k], err = r.lines(channel, epoch); err != nil {
			return nil, err
		}
	}
	// By row id, which is the order on the disk: the index would fetch every row
	// from another place. What a row costs is the handing over of its columns.
	const query = `SELECT id, second * 256 + channel, min, max FROM seconds NOT INDEXED
		WHERE id >= ? AND id < ? AND channel <= ? AND epoch = ? AND second >= ? AND second <= ? ORDER BY id`
	args := []any{first * idsPerCommit, (last + 1) * idsPerCommit, slices.Max(channels), epoch, secondOf(from), secondOf(until - 1)}
	var columns [4]any
	into := []any{&columns[0], &columns[1], &columns[2], &columns[3]}
	err := r.each(query, args, func(scan func(...any) error) error {
		if err := scan(into...); err != nil {
			return err
		}
		id, _ := columns[0].(int64)
		place, placed := columns[1].(int64)
		low, lowest := columns[2].(float64)
		high, highest := columns[3].(float64)
		if !placed || !lowest || !highest {
			return &Error{Kind: Damaged, Path: r.path, Commit: id / idsPerCommit, Row: id, Detail: "seconds: not a number"}
		}
		if k := slices.Index(channels, int(place&255)); k >= 0 {
			s := scales[k].at(id).second((place>>8)*nanosPerSecond, low, high, 0, 1)
			found[k] = Extremes{Tick: s.Tick, Min: s.Min, Max: s.Max}.extend(found[k])
		}
		return nil
	})
	return found, err
}

// extend adds a second, or a part of the second before.
func (e Extremes) extend(found []Extremes) []Extremes {
	if n := len(found); n > 0 && found[n-1].Tick == e.Tick {
		last := &found[n-1]
		last.Min, last.Max = min(last.Min, e.Min), max(last.Max, e.Max)
		return found
	}
	return append(found, e)
}

// commitsOf returns the first and the last group with samples of an epoch in
// [from, until), and two zeros where there is none.
func (r *Reader) commitsOf(epoch int, from, until int64) (first, last int64, err error) {
	const query = `SELECT ifnull(min(number), 0), ifnull(max(number), 0) FROM commits
		WHERE epoch = ? AND last_tick BETWEEN ? AND ? AND first_tick < ?`
	err = r.each(query, []any{epoch, from, r.latestEnd(epoch, until), until}, func(scan func(...any) error) error { return scan(&first, &last) })
	return first, last, err
}

// latestEnd returns a tick after which no group ends that begins before until, so
// that the index need not be gone through to its end. A record that grows has
// none.
func (r *Reader) latestEnd(epoch int, until int64) int64 {
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
			return math.MaxInt64 // the query that asks will meet the same error
		}
		r.spans = spans
	}
	longest := r.spans[epoch]
	if until > math.MaxInt64-longest {
		return math.MaxInt64
	}
	return until + longest
}
