package record

import (
	"encoding/json"

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
	return r.each("SELECT id, epoch, description FROM sources WHERE id > ? ORDER BY id", []any{o.read}, func(scan func(...any) error) error {
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
