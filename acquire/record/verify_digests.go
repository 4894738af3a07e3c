package record

import (
	"bytes"
	"fmt"
	"slices"

	"arctally/acquire/record/digest"
	"arctally/acquire/series"
)

// digestVerifier makes the digests of a record anew from its samples.
type digestVerifier struct {
	reader    *Reader
	filler    *filler
	again     *filler // of groups that are read a second time
	digesters map[int]*digester
	through   map[digestPlace]int64 // the last group that a row is about
	content   []byte
}

// digestPlace is a level of an epoch.
type digestPlace struct{ epoch, level int }

func newDigestVerifier(r *Reader) *digestVerifier {
	return &digestVerifier{
		reader: r, filler: newFiller(r, ""), again: newFiller(r, ""),
		digesters: map[int]*digester{}, through: map[digestPlace]int64{},
	}
}

func (v *digestVerifier) close() {
	v.filler.close()
	v.again.close()
}

// group compares the rows of a group with what its samples, and those of the groups
// before it, come to. A row that is not there is none that shows a wrong picture.
func (v *digestVerifier) group(h commitHead, at extent) error {
	stored, err := v.stored(h.number)
	if err != nil {
		return err
	}
	if at.samples && (at.first > at.last || uint64(at.last)-uint64(at.first) > maxGroupTime) {
		return v.altered(h.number, "its samples last for longer than a group does")
	}
	if err := v.filler.fill(h, false); err != nil {
		return err
	}
	d, described, err := v.digester(h)
	if err != nil {
		return err
	}
	rows := d.group(at, described, blocksOf(v.filler.group.Blocks))
	for k := range stored {
		if err := v.row(&stored[k], rows, d, at); err != nil {
			return err
		}
	}
	return nil
}

// digester returns that of the group's box, and the description that begins with it.
func (v *digestVerifier) digester(h commitHead) (*digester, *series.Source, error) {
	r := v.reader
	var described *series.Source
	box := r.owners.epochs[h.epoch]
	if h.sources > 0 {
		box = r.owners.within(h.number)
		described = &v.filler.group.Sources[0]
	}
	d := v.digesters[box]
	if d == nil {
		d = new(digester)
		v.digesters[box] = d
		source, ok, err := r.sourceAt(h.number, box)
		if err != nil {
			return nil, nil, err
		}
		if ok {
			d.longest = source.MaxStep
		}
	}
	return d, described, nil
}

// blocksOf gives blocks one by one.
func blocksOf(blocks []series.Block) func(func(*series.Block) bool) {
	return func(yield func(*series.Block) bool) {
		for k := range blocks {
			if !yield(&blocks[k]) {
				return
			}
		}
	}
}

// all wants every channel.
func all(int) bool { return true }

// storedRow is a row as it is in the table, opened.
type storedRow struct {
	digestRow
	content []byte
}

// stored reads the rows that were written with a group.
func (v *digestVerifier) stored(number int64) (rows []storedRow, err error) {
	const query = "SELECT id, level, epoch, since, through, first_tick, last_tick, codec, payload FROM digests WHERE id >= ? AND id < ? ORDER BY id"
	args := []any{number * idsPerCommit, (number + 1) * idsPerCommit}
	err = v.reader.each(query, args, func(scan func(...any) error) error {
		var row storedRow
		var packed storedDigest
		var how int64
		if err := scan(&packed.id, &row.level, &row.epoch, &row.since, &row.through, &row.first, &row.last, &how, &packed.payload); err != nil {
			return err
		}
		packed.how = known(how)
		if _, err := v.reader.unpack(&packed, &v.reader.digests, all); err != nil {
			return err
		}
		row.content = slices.Clone(v.reader.content)
		rows = append(rows, row)
		return nil
	})
	return rows, err
}

// row refuses a row that its samples do not come to. Where the writer began anew, after
// a stop, its rows begin elsewhere than those of who reads on: these are made of their
// groups alone.
func (v *digestVerifier) row(stored *storedRow, made []digestRow, d *digester, at extent) error {
	place := digestPlace{stored.epoch, stored.level}
	if stored.since <= v.through[place] || stored.through < stored.since || stored.through > at.number {
		return v.altered(at.number, fmt.Sprintf("a digest of groups %d to %d, some of which another has or nobody knows", stored.since, stored.through))
	}
	v.through[place] = stored.through
	if slices.ContainsFunc(made, func(m digestRow) bool { return v.same(stored, &m) }) {
		return nil
	}
	own, err := v.made(stored)
	if err != nil {
		return err
	}
	if own == nil || !v.same(stored, own) {
		return v.altered(at.number, fmt.Sprintf("the digest of groups %d to %d is not what their samples come to", stored.since, stored.through))
	}
	d.again(own, at)
	return nil
}

// same tells whether a row is as it is made.
func (v *digestVerifier) same(stored *storedRow, made *digestRow) bool {
	a, b := stored.digestRow, *made
	if a.level != b.level || a.epoch != b.epoch || a.since != b.since || a.through != b.through || a.first != b.first || a.last != b.last {
		return false
	}
	v.content = b.digest.Append(v.content[:0], b.level > 0)
	return bytes.Equal(v.content, stored.content)
}

// made makes a row of the groups that it is about, behind the group before them; nil
// where no such row is written.
func (v *digestVerifier) made(stored *storedRow) (*digestRow, error) {
	if stored.level < 1 || stored.level >= digest.Levels {
		return nil, nil
	}
	var heads []commitHead
	var extents []extent
	const query = `SELECT number, wall, epoch, sources, events, first_tick, last_tick FROM commits
		WHERE number BETWEEN ? AND ? AND epoch = ? AND first_tick IS NOT NULL ORDER BY number`
	err := v.reader.each(query, []any{stored.since, stored.through, stored.epoch}, func(scan func(...any) error) error {
		var h commitHead
		at := extent{samples: true, epoch: stored.epoch}
		err := scan(&h.number, &h.wall, &h.epoch, &h.sources, &h.events, &at.first, &at.last)
		at.number = h.number
		heads, extents = append(heads, h), append(extents, at)
		return err
	})
	if err != nil || len(heads) == 0 {
		return nil, err
	}
	source, err := v.only(heads[0].number, stored)
	if err != nil || source == nil {
		return nil, err
	}
	row, gatherer := &digestRow{since: stored.since}, digest.Gatherer{}
	if err := v.before(stored, &gatherer, source.MaxStep); err != nil {
		return nil, err
	}
	for k, h := range heads {
		cells, err := v.cells(h, &gatherer, source.MaxStep)
		if err != nil {
			return nil, err
		}
		for range stored.level {
			cells = cells.Coarser()
		}
		row.add(stored.level, extents[k], cells)
	}
	return row, nil
}

// only returns the description under which all groups of a row are, from the first one
// with samples on; nil where there are two, whose codes do not belong into one cell.
func (v *digestVerifier) only(first int64, stored *storedRow) (*series.Source, error) {
	r, box := v.reader, v.reader.owners.epochs[stored.epoch]
	source, there, err := r.sourceAt(first, box)
	if err != nil {
		return nil, err
	}
	last, _, err := r.sourceAt(stored.through, box)
	if err != nil || there && !source.Equal(last) {
		return nil, err
	}
	return &source, nil
}

// before takes the group before those of a row, from which its first sample may follow.
func (v *digestVerifier) before(stored *storedRow, g *digest.Gatherer, longest int64) error {
	heads, err := v.reader.heads(selectCommits+"WHERE number < ? AND epoch = ? AND first_tick IS NOT NULL ORDER BY number DESC LIMIT 1", []any{stored.since, stored.epoch})
	if err != nil || len(heads) == 0 {
		return err
	}
	_, err = v.cells(heads[0], g, longest)
	return err
}

// cells digests a group that is read a second time.
func (v *digestVerifier) cells(h commitHead, g *digest.Gatherer, longest int64) (digest.Digest, error) {
	if err := v.again.fill(h, false); err != nil {
		return nil, err
	}
	for b := range blocksOf(v.again.group.Blocks) {
		g.Add(b, longest)
	}
	d, _ := g.Take()
	return d, nil
}

func (v *digestVerifier) altered(number int64, detail string) error {
	return &Error{Kind: Altered, Path: v.reader.path, Commit: number, Detail: detail}
}
