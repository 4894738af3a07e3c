package record

import (
	"encoding/json"
	"iter"
	"math"

	"arctally/acquire/clock"
	"arctally/acquire/series"
)

// owners say which epochs, and which rows of sources, are those of a companion.
type owners struct {
	read    int64 // id of the last row that was looked at
	epochs  map[int]int
	sources map[int64]int
}

// readOwners looks at the rows of sources that came since it was last called.
func (r *Reader) readOwners() error {
	o := &r.owners
	if o.epochs == nil {
		o.epochs, o.sources = map[int]int{}, map[int64]int{}
	}
	return r.each("SELECT id, epoch, description FROM sources WHERE id > ? AND "+ofGroups+" ORDER BY id", []any{o.read}, func(scan func(...any) error) error {
		var epoch int
		var description string
		if err := scan(&o.read, &epoch, &description); err != nil {
			return err
		}
		var said struct {
			Box int `json:"box"`
		}
		// One that is no description is an error where its group is read.
		if err := json.Unmarshal([]byte(description), &said); err == nil && said.Box > 0 {
			o.epochs[epoch], o.sources[o.read] = said.Box, said.Box
		}
		return nil
	})
}

// within returns whose description a commit group has.
func (o *owners) within(number int64) int {
	return o.sources[number*idsPerCommit+1]
}

// renewOwners is readOwners for a record that grows.
func (r *Reader) renewOwners() error {
	if r.still.known {
		return nil
	}
	return r.readOwners()
}

// named says whose the events are.
func (r *Reader) named(events []series.Event) error {
	err := r.renewOwners()
	for k := range events {
		events[k].Box = r.owners.epochs[events[k].Epoch]
	}
	return err
}

// Part is what was recorded from one opening of a record to the next: commit groups
// [from, until). The boxes of one part have their host times from one origin.
type Part struct{ from, until int64 }

// Parts returns the parts of the record, in order; there is always one.
func (r *Reader) Parts() ([]Part, error) {
	parts := []Part{{0, math.MaxInt64 / idsPerCommit}}
	err := r.each("SELECT DISTINCT commit_number FROM events WHERE kind = ? AND "+ofGroups+" ORDER BY id", []any{string(series.Resumed)}, func(scan func(...any) error) error {
		var number int64
		err := scan(&number)
		parts[len(parts)-1].until = number
		parts = append(parts, Part{number, math.MaxInt64 / idsPerCommit})
		return err
	})
	return parts, err
}

// SeveralBoxes reports whether the record holds what companions said.
func (r *Reader) SeveralBoxes() (bool, error) {
	err := r.renewOwners()
	return len(r.owners.sources) > 0, err
}

// ArcGroups returns the commit groups of a part that have samples of the box that tells
// the arc, or no samples at all; CompanionGroups those of all others, or without samples.
func (r *Reader) ArcGroups(p Part) iter.Seq2[*Group, error] { return r.groupsOf(p, false) }

// CompanionGroups is described with ArcGroups.
func (r *Reader) CompanionGroups(p Part) iter.Seq2[*Group, error] { return r.groupsOf(p, true) }

func (r *Reader) groupsOf(p Part, companions bool) iter.Seq2[*Group, error] {
	not := "NOT "
	if companions {
		not = ""
	}
	query := selectCommits + "WHERE number > ? AND number >= ? AND number < ? AND (first_tick IS NULL OR " + not +
		"epoch IN (SELECT epoch FROM sources WHERE " + isOfCompanion + " AND " + ofGroups + ")) ORDER BY number LIMIT ?"
	return r.walk(func(after int64) (string, []any) { return query, []any{after, p.from, p.until, commitsAtOnce} }, false, "")
}

// ClockIn returns the fits of a part, in the order in which they were written.
func (r *Reader) ClockIn(p Part) (fits []clock.Fit, err error) {
	fits, err = r.clock("WHERE id >= ? AND id < ?", p.from*idsPerCommit, p.until*idsPerCommit)
	for k := range fits {
		fits[k].Box = r.owners.epochs[fits[k].Epoch]
	}
	return fits, err
}

// EventsIn returns the events of a part, in the order in which they were written.
func (r *Reader) EventsIn(p Part) ([]series.Event, error) {
	return r.events(nil, selectEvents+"WHERE id >= ? AND id < ? ORDER BY id", p.from*idsPerCommit, p.until*idsPerCommit)
}

// Another opens the record once more, for who reads in two places at a time.
func (r *Reader) Another() (*Reader, error) { return Open(r.path) }
