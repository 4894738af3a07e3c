package record

import (
	"fmt"

	"arctally/acquire/record/codec"
	"arctally/acquire/series"
)

// part is one row of the table chunks, without its payload.
type part struct {
	row, chunk int64
	kind       series.Kind
	head       chunk
}

// marks says where in the lane's columns the chunk that is being read begins.
type marks struct {
	ticks, v, i, flags, sums, channel, value, count int
}

func (l *lane) marks() marks {
	return marks{len(l.ticks), len(l.v), len(l.i), len(l.flags), len(l.sums), len(l.channel), len(l.value), len(l.count)}
}

var kindsByName = map[string]series.Kind{"arc": series.Arc, "sums": series.Sums, "slow": series.Slow, "turn": series.Turn}

// take takes one part of a chunk.
func (f *filler) take(row *storedPart) error {
	p := row.part
	if p.kind == 0 {
		return f.damaged(p.row, fmt.Errorf("%w: kind %q", codec.ErrPayload, row.kindName))
	}
	if p.chunk != f.at.chunk {
		if err := f.end(); err != nil {
			return err
		}
		f.at, f.begin = p, f.lanes[laneOf(p.kind)].marks()
	} else if p.head != f.at.head {
		return f.damaged(p.row, fmt.Errorf("%w: the parts of chunk %d differ", codec.ErrPayload, p.chunk))
	}
	if err := f.opened(row.name, known(row.how), f.rows.payload(row)); err != nil {
		return f.damaged(p.row, err)
	}
	return nil
}

func (f *filler) damaged(row int64, err error) error { return f.reader.chunkDamaged(row, err) }

func (r *Reader) chunkDamaged(row int64, err error) error {
	return &Error{Kind: Damaged, Path: r.path, Commit: row / idsPerCommit, Row: row, Detail: "chunks", Err: err}
}

// opened opens a row, which has all columns of its chunk, or one as before version 4.
func (f *filler) opened(part string, how codec.ID, payload []byte) error {
	u, n := f.reader.unzip, f.at.head.n
	if part == partAll && how == codec.Joined {
		columns, err := u.Joined(payload, n)
		for k := 0; k < len(columns) && err == nil; k++ {
			err = f.column(columns[k].Which, columns[k])
		}
		return err
	}
	column, err := u.Column(how, payload, n)
	if err != nil {
		return err
	}
	return f.column(columnNames[part], column)
}

// column unpacks one column into those of the lane.
func (f *filler) column(which uint8, c codec.Column) (err error) {
	l := &f.lanes[laneOf(f.at.kind)]
	switch which {
	case voltage:
		l.v, err = c.Codes(l.v)
	case current:
		l.i, err = c.Codes(l.i)
	case arcFlag:
		l.flags, err = c.Bits(l.flags)
	case sums:
		l.sums, err = c.Sums(l.sums)
	case channels:
		l.channel, err = c.Bytes(l.channel)
	case values:
		l.value, err = c.Floats(l.value)
	case counts:
		l.count, err = c.Numbers(l.count)
	case ticks:
		l.ticks, err = c.Numbers(l.ticks)
	case runs:
		f.runs, err = c.Numbers(f.runs[:0])
	case starts:
		f.starts, err = c.Numbers(f.starts[:0])
	default:
		err = fmt.Errorf("%w: a column of no known name", codec.ErrPayload)
	}
	return err
}

// end makes blocks of the chunk that was read, if there is one.
func (f *filler) end() error {
	if f.at.chunk == 0 {
		return nil
	}
	l, h := &f.lanes[laneOf(f.at.kind)], &f.at.head
	switch {
	case !f.complete(l):
		return f.damaged(f.at.row, fmt.Errorf("%w: chunk %d lacks a part or has one too many", codec.ErrPayload, f.at.chunk))
	case len(f.runs) > 0 || len(f.starts) > 0:
		return f.paced(l)
	case h.kind == series.Sums: // each window is a block of its own
		for k := range h.n {
			f.block(l, h.tick, k, k+1, h.broken && k == 0)
		}
	default:
		f.block(l, h.tick, 0, h.n, h.broken)
	}
	return nil
}

// paced makes a block of every run of the chunk.
func (f *filler) paced(l *lane) error {
	h := &f.at.head
	if len(f.runs) != len(f.starts) || h.n == 0 {
		return f.damaged(f.at.row, fmt.Errorf("%w: %d runs with %d starts", codec.ErrPayload, len(f.runs), len(f.starts)))
	}
	from := 0
	for k, n := range f.runs {
		if n < 1 || n > int64(h.n-from) || n > 1 && h.kind == series.Sums {
			return f.damaged(f.at.row, fmt.Errorf("%w: run of %d samples", codec.ErrPayload, n))
		}
		f.block(l, f.starts[k], from, from+int(n), h.broken && k == 0)
		from += int(n)
	}
	f.runs, f.starts = f.runs[:0], f.starts[:0]
	if from != h.n {
		return f.damaged(f.at.row, fmt.Errorf("%w: the runs are %d samples short", codec.ErrPayload, h.n-from))
	}
	return nil
}

// complete tells whether the chunk has every part of its kind, once.
func (f *filler) complete(l *lane) bool {
	n, b := f.at.head.n, f.begin
	now := l.marks()
	has := func(from, to int) bool { return to-from == n }
	maybe := func(from, to int) bool { return to == from || to-from == n }
	if !maybe(b.ticks, now.ticks) || !maybe(b.flags, now.flags) {
		return false
	}
	switch f.at.kind {
	case series.Arc:
		return has(b.v, now.v) && has(b.i, now.i)
	case series.Sums:
		return has(b.sums, now.sums)
	case series.Slow:
		return has(b.channel, now.channel) && has(b.value, now.value)
	default:
		return has(b.count, now.count)
	}
}

// block adds samples [from, to) of the chunk to the lane's blocks.
func (f *filler) block(l *lane, tick int64, from, to int, broken bool) {
	h, b := &f.at.head, &f.begin
	block := series.Block{Kind: h.kind, Box: f.reader.owners.epochs[h.epoch], Epoch: h.epoch, Break: broken, Tick: tick, Step: h.step}
	if len(l.ticks) > b.ticks {
		block.Ticks = l.ticks[b.ticks+from : b.ticks+to]
		block.Tick = block.Ticks[0]
	}
	switch h.kind {
	case series.Arc:
		block.V, block.I = l.v[b.v+from:b.v+to], l.i[b.i+from:b.i+to]
		if len(l.flags) > b.flags {
			block.Flag = l.flags[b.flags+from : b.flags+to]
		}
	case series.Sums:
		block.Sum = l.sums[b.sums+from]
	case series.Slow:
		block.Channel, block.Value = l.channel[b.channel+from:b.channel+to], l.value[b.value+from:b.value+to]
	case series.Turn:
		block.Count = l.count[b.count+from : b.count+to]
	}
	f.blocks[laneOf(h.kind)] = append(f.blocks[laneOf(h.kind)], block)
}
