package review

import (
	"iter"

	"arctally/acquire/record"
	"arctally/acquire/series"
)

// groupsAhead is how many groups, of a second each, are decoded before they are wanted.
const groupsAhead = 4

// ahead decodes the groups in a goroutine of its own, so that decoding and
// judging go on side by side. It hands out copies, each until the next one is
// asked for, and has ended with the groups when it returns.
func ahead(groups iter.Seq2[*record.Group, error]) iter.Seq2[*record.Group, error] {
	return func(yield func(*record.Group, error) bool) {
		d := newDecoding()
		go d.run(groups)
		defer d.end()
		for next := range d.ready {
			if !yield(next.group, next.err) {
				return
			}
			d.free <- next.group
		}
	}
}

// decoding is a goroutine that decodes, and the groups that go to and fro.
type decoding struct {
	ready chan decoded
	free  chan *record.Group
	stop  chan struct{}
}

type decoded struct {
	group *record.Group
	err   error
}

func newDecoding() *decoding {
	d := &decoding{make(chan decoded, groupsAhead), make(chan *record.Group, groupsAhead+1), make(chan struct{})}
	for range cap(d.free) {
		d.free <- new(record.Group)
	}
	return d
}

func (d *decoding) run(groups iter.Seq2[*record.Group, error]) {
	defer close(d.ready)
	for group, err := range groups {
		select {
		case <-d.stop:
			return
		case own := <-d.free:
			if err == nil {
				copyGroup(own, group)
			}
			select {
			case <-d.stop:
				return
			case d.ready <- decoded{own, err}:
			}
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

func copyGroup(into, from *record.Group) {
	blocks := into.Blocks
	*into = *from
	into.Sources = append([]series.Source(nil), from.Sources...)
	into.Events = append([]series.Event(nil), from.Events...)
	for len(blocks) < len(from.Blocks) {
		blocks = append(blocks, series.Block{})
	}
	into.Blocks = blocks[:len(from.Blocks)]
	for k := range from.Blocks {
		into.Blocks[k].CopyFrom(&from.Blocks[k])
	}
}
