package record

import (
	"iter"
	"time"

	"arctally/acquire/series"
)

// Group is one commit group. It, and all that it holds, is reused for the next one; see
// KeepGroups.
type Group struct {
	Number  int64
	Written time.Time       // when it was committed
	Sources []series.Source // of its box, in force from this group on; empty is unchanged
	Blocks  []series.Block  // Slow and Turn by tick, then Arc and Sums by tick
	Events  []series.Event  // in the order in which they were written
}

// Groups returns the commit groups in order, from the first to the newest there
// is when it comes to it. After an error it stops.
func (r *Reader) Groups() iter.Seq2[*Group, error] {
	return r.walk(func(after int64) (string, []any) {
		return selectCommits + "WHERE number > ? ORDER BY number LIMIT ?", []any{after, commitsAtOnce}
	}, false, "")
}

// Between returns the groups with samples of an epoch in [from, until). The
// first of them has the source that is in force. Groups reach beyond the window.
func (r *Reader) Between(epoch int, from, until int64) iter.Seq2[*Group, error] {
	return r.between(epoch, from, until, "")
}

// TurnsBetween is Between for who wants nothing of the groups but the counts of the torch.
func (r *Reader) TurnsBetween(epoch int, from, until int64) iter.Seq2[*Group, error] {
	return r.between(epoch, from, until, "AND kind = 'turn'")
}

func (r *Reader) between(epoch int, from, until int64, which string) iter.Seq2[*Group, error] {
	return r.walk(func(after int64) (string, []any) {
		return selectCommits + "INDEXED BY commits_by_tick WHERE number > ? AND epoch = ? AND last_tick BETWEEN ? AND ? AND first_tick < ? ORDER BY number LIMIT ?",
			[]any{after, epoch, from, r.latestEnd(epoch, until), until, commitsAtOnce}
	}, true, which)
}

const selectCommits = "SELECT number, wall, epoch, sources, events FROM commits "

// commitsAtOnce is how many heads of groups are read in one query.
const commitsAtOnce = 256

// commitHead says what a group has besides blocks, to spare the queries for what it has not.
type commitHead struct {
	number, wall, sources, events int64
	epoch                         int // of its samples
}

// walk yields the groups whose heads the queries find, with such chunks as are wanted.
func (r *Reader) walk(next func(after int64) (string, []any), inForce bool, which string) iter.Seq2[*Group, error] {
	return func(yield func(*Group, error) bool) {
		f := newFiller(r, which)
		defer f.close()
		for after, first := int64(0), inForce; ; {
			heads, err := r.heads(next(after))
			for k := 0; k < len(heads) && err == nil; k++ {
				f.rows.ahead = heads[k:]
				if err = f.fill(heads[k], first); err == nil && !yield(&f.group, nil) {
					return
				}
				first, after = false, heads[k].number
			}
			if err != nil {
				yield(nil, err)
				return
			}
			if len(heads) < commitsAtOnce {
				return
			}
		}
	}
}

func (r *Reader) heads(query string, args []any) ([]commitHead, error) {
	var heads []commitHead
	err := r.each(query, args, func(scan func(...any) error) error {
		var h commitHead
		err := scan(&h.number, &h.wall, &h.epoch, &h.sources, &h.events)
		heads = append(heads, h)
		return err
	})
	return heads, err
}

// room is the memory of a group.
type room struct {
	group  Group
	lanes  [laneCount]lane
	blocks [laneCount][]series.Block
}

// filler reads group after group into the same few rooms.
type filler struct {
	reader *Reader
	rows   *storedRows
	rooms  []room
	*room  // that is being filled
	turn   int
	// of the chunk being read
	at     part
	begin  marks
	runs   []int64
	starts []int64
}

func newFiller(r *Reader, which string) *filler {
	rooms := make([]room, 1+r.kept)
	return &filler{reader: r, rows: newStoredRows(r, which), rooms: rooms, room: &rooms[0]}
}

// KeepGroups has every group that is read from here on last until so many more were asked
// for; without it there are none.
func (r *Reader) KeepGroups(n int) { r.kept = n }

func (f *filler) close() { f.rows.close() }

// fill reads one group.
func (f *filler) fill(h commitHead, inForce bool) error {
	f.turn = (f.turn + 1) % len(f.rooms)
	f.room = &f.rooms[f.turn]
	r, g := f.reader, &f.group
	if err := r.wanted(); err != nil {
		return err
	}
	g.Number, g.Written = h.number, time.Unix(0, h.wall).UTC()
	g.Sources, g.Blocks, g.Events = g.Sources[:0], g.Blocks[:0], g.Events[:0]
	if h.sources > 0 || inForce {
		if err := f.source(h); err != nil {
			return err
		}
	}
	if h.events > 0 {
		var err error
		from, until := h.number*idsPerCommit, (h.number+1)*idsPerCommit
		if g.Events, err = r.events(g.Events, selectEvents+"WHERE id >= ? AND id < ? ORDER BY id", from, until); err != nil {
			return err
		}
	}
	if err := f.read(h.number); err != nil {
		return err
	}
	f.order()
	if h.sources > 0 || inForce || h.events > 0 { // the rows of chunks have seen to it themselves
		return r.unchanged()
	}
	return nil
}

// source gives the group the description that it is under: its own one, or the newest
// of the box whose samples it has.
func (f *filler) source(h commitHead) error {
	r := f.reader
	if err := r.renewOwners(); err != nil {
		return err
	}
	box := r.owners.epochs[h.epoch]
	if h.sources > 0 {
		box = r.owners.within(h.number)
	}
	s, ok, err := r.sourceAt(h.number, box)
	if ok {
		f.group.Sources = append(f.group.Sources, s)
	}
	return err
}

// read reads the chunks of a group.
func (f *filler) read(number int64) error {
	for k := range f.lanes {
		f.lanes[k].reset()
		f.blocks[k] = f.blocks[k][:0]
	}
	f.at = part{}
	if err := f.rows.read(number); err != nil {
		return err
	}
	for row := f.rows.next(number); row != nil; row = f.rows.next(number) {
		if err := f.take(row); err != nil {
			return err
		}
	}
	return f.end()
}

// order puts the lanes' blocks into the order of the group.
func (f *filler) order() {
	g := &f.group
	g.Blocks = merge(g.Blocks, f.blocks[laneOf(series.Slow)], f.blocks[laneOf(series.Turn)])
	g.Blocks = merge(g.Blocks, f.blocks[laneOf(series.Arc)], f.blocks[laneOf(series.Sums)])
}

// merge appends two lanes by tick; the order within each stays.
func merge(into, a, b []series.Block) []series.Block {
	for len(a) > 0 && len(b) > 0 {
		if b[0].Tick < a[0].Tick {
			into, b = append(into, b[0]), b[1:]
		} else {
			into, a = append(into, a[0]), a[1:]
		}
	}
	return append(append(into, a...), b...)
}
