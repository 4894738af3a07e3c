package review

import (
	"iter"

	"arctally/acquire/record"
)

// groupsAhead is how many groups, of a second each, are decoded before they are wanted.
const groupsAhead = 4

// keptAhead is how many groups are asked for while one is in use: those that are ready, and
// one that is being decoded.
const keptAhead = groupsAhead + 1

// ahead decodes the groups in a goroutine of its own, so that decoding and
// judging go on side by side. Each lasts until the next one is asked for, if keptAhead of
// them do with who decodes, and the goroutine has ended with the groups when it returns.
func ahead(groups iter.Seq2[*record.Group, error]) iter.Seq2[*record.Group, error] {
	return func(yield func(*record.Group, error) bool) {
		d := decoding{make(chan decoded, groupsAhead), make(chan struct{})}
		go d.run(groups)
		defer d.end()
		for next := range d.ready {
			if !yield(next.group, next.err) {
				return
			}
		}
	}
}

// decoding is a goroutine that decodes.
type decoding struct {
	ready chan decoded
	stop  chan struct{}
}

type decoded struct {
	group *record.Group
	err   error
}

func (d *decoding) run(groups iter.Seq2[*record.Group, error]) {
	defer close(d.ready)
	for group, err := range groups {
		select {
		case <-d.stop:
			return
		case d.ready <- decoded{group, err}:
		}
	}
}

// end waits until the goroutine is done with the reader.
func (d *decoding) end() {
	close(d.stop)
	for range d.ready { // what was decoded and is not wanted
		continue
	}
}
