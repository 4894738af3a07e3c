package record

import (
	"iter"

	"arctally/acquire/record/digest"
	"arctally/acquire/series"
)

// digester makes the rows of the table digests, of one box. What it makes follows from
// the groups alone, in their order, but where it begins: Verify makes them anew.
type digester struct {
	longest  int64 // the longest step, as the source says it
	began    bool
	epoch    int
	gatherer digest.Gatherer
	open     [digest.Levels]digestRow // not yet written; of level 0 none ever is
	now      [digest.Levels]digest.Digest
}

// digestRow is a row of the table digests: what the groups of an epoch from since
// through another one come to.
type digestRow struct {
	level          int
	epoch          int
	since, through int64
	first, last    int64 // the extent of these groups, in ticks
	digest         digest.Digest
}

// extent is that of a commit group.
type extent struct {
	number      int64
	samples     bool // whether it has any; without them the rest says nothing
	epoch       int
	first, last int64 // ticks
}

// reach returns how long a row of a level lasts before it is written, ns. So none
// of them has more than some hundred cells, and what no row of a level has yet lies in
// few of the level below.
func reach(level int) uint64 { return nanosPerSecond << (4 * level) }

// mostReach is the longest that a row of a level can last, ns.
func mostReach(level int) uint64 { return reach(level) + maxGroupTime }

// A group has a digest of its own where that is much less than the samples.
const (
	leastSamples     = 512
	samplesInOneCell = 8
)

// group takes a commit group and returns the rows to be written with it, its own first.
// Rows of several levels end together, so that each holds whole rows of the level below.
func (d *digester) group(at extent, described *series.Source, blocks iter.Seq[*series.Block]) []digestRow {
	var ended []digestRow
	another := at.samples && d.began && d.epoch != at.epoch
	if described != nil || another { // codes on either side do not belong into one cell
		ended = d.end(ended, digest.Levels-1)
	}
	if described != nil {
		d.longest = described.MaxStep
	}
	if !at.samples {
		return ended
	}
	if another || !d.began {
		*d = digester{longest: d.longest, began: true, epoch: at.epoch}
	}
	own := d.own(at, blocks)
	ended = d.end(ended, d.ending(func(r *digestRow) bool {
		return uint64(max(r.last, at.last))-uint64(min(r.first, at.first)) > mostReach(r.level)
	}))
	for level := 1; level < digest.Levels; level++ {
		d.open[level].add(level, at, d.now[level])
	}
	ended = d.end(ended, d.ending(func(r *digestRow) bool { return uint64(r.last)-uint64(r.first) >= reach(r.level) }))
	return append(own, ended...)
}

// own digests a group, and returns the row of it alone if it has one.
func (d *digester) own(at extent, blocks iter.Seq[*series.Block]) []digestRow {
	for b := range blocks {
		d.gatherer.Add(b, d.longest)
	}
	var samples int
	d.now[0], samples = d.gatherer.Take()
	for level := 1; level < digest.Levels; level++ {
		d.now[level] = d.now[level-1].Coarser()
	}
	arc := d.now[0].Arc()
	if samples < leastSamples || len(arc) == 0 || arc.Cells()/len(arc)*samplesInOneCell > samples {
		return nil
	}
	return []digestRow{{0, at.epoch, at.number, at.number, at.first, at.last, arc}}
}

// ending returns the coarsest level whose open row is to be written.
func (d *digester) ending(full func(*digestRow) bool) int {
	for level := digest.Levels - 1; level > 0; level-- {
		if r := &d.open[level]; r.digest != nil && full(r) {
			return level
		}
	}
	return 0
}

// end appends the open rows up to a level.
func (d *digester) end(rows []digestRow, upTo int) []digestRow {
	for level := 1; level <= upTo; level++ {
		if r := &d.open[level]; r.digest != nil {
			rows = append(rows, *r)
			*r = digestRow{since: r.through + 1}
		}
	}
	return rows
}

// add takes what a group comes to.
func (r *digestRow) add(level int, at extent, d digest.Digest) {
	if r.digest == nil {
		if len(d) == 0 { // it counted turns of the torch alone
			return
		}
		since := at.number
		if r.since > 0 {
			since = r.since // no group of the epoch lies between the row before and this one
		}
		*r = digestRow{level: level, epoch: at.epoch, since: since, first: at.first, last: at.last}
	}
	r.through, r.first, r.last = at.number, min(r.first, at.first), max(r.last, at.last)
	r.digest.Merge(d)
}

// again begins anew where the writer did: a row of its ended with the group in hand, or
// with the one before it, and all coarser ones began where that did, or earlier.
func (d *digester) again(ended *digestRow, at extent) {
	if ended.epoch != d.epoch {
		return // the next epoch has begun, and with it all rows
	}
	d.open[ended.level] = digestRow{since: ended.through + 1}
	coarser := ended.digest
	for level := ended.level + 1; level < digest.Levels; level++ {
		coarser = coarser.Coarser()
		d.open[level] = *ended
		d.open[level].level, d.open[level].digest = level, coarser
	}
	for level := ended.level; level < digest.Levels && at.samples && ended.through < at.number; level++ {
		d.open[level].add(level, at, d.now[level])
	}
}

// values returns the columns of a row, without its id.
func (r *digestRow) values(payload []byte, how int64) []any {
	return []any{int64(r.level), int64(r.epoch), r.since, r.through, r.first, r.last, how, payload}
}

// blocks gives the samples of a group, kind by kind.
func (g *group) blocks(yield func(*series.Block) bool) {
	for k := range g.lanes {
		at := cursor{lane: &g.lanes[k]}
		for i := range at.lane.chunks {
			for b := range at.blocks(&at.lane.chunks[i]) {
				if !yield(b) {
					return
				}
			}
		}
	}
}

// blocks gives the samples of a chunk, run by run, and moves the cursor past them.
func (at *cursor) blocks(c *chunk) iter.Seq[*series.Block] {
	return func(yield func(*series.Block) bool) {
		if c.explicit {
			at.explicit(c, yield)
			return
		}
		runs := at.lane.runs[at.runAt : at.runAt+c.runs]
		at.runAt += c.runs
		for k, r := range runs {
			b := at.block(c, r.n, c.broken && k == 0)
			b.Tick, at.sample = r.tick, at.sample+r.n
			if !yield(b) {
				return
			}
		}
	}
}

// explicit gives the samples of a chunk in which each has its own tick; each window of
// sums is a block.
func (at *cursor) explicit(c *chunk, yield func(*series.Block) bool) {
	n := c.n
	if c.kind == series.Sums {
		n = 1
	}
	for from := 0; from < c.n; from += n {
		b := at.block(c, n, c.broken && from == 0)
		b.Ticks = at.lane.ticks[at.tick : at.tick+n]
		b.Tick = b.Ticks[0]
		at.sample, at.tick = at.sample+n, at.tick+n
		if !yield(b) {
			return
		}
	}
}

// block returns the next n samples of a chunk, without their ticks.
func (at *cursor) block(c *chunk, n int, broken bool) *series.Block {
	l, from, to := at.lane, at.sample, at.sample+n
	b := &series.Block{Kind: c.kind, Epoch: c.epoch, Break: broken, Step: c.step}
	switch c.kind {
	case series.Arc:
		b.V, b.I = l.v[from:to], l.i[from:to]
	case series.Sums:
		b.Sum = l.sums[from] // each window is a run of its own
	case series.Slow:
		b.Channel, b.Value = l.channel[from:to], l.value[from:to]
	case series.Turn:
		b.Count = l.count[from:to]
	}
	return b
}

// digest writes the digests that are due with a group.
func (c *committer) digest(g *group) error {
	d := c.digests[g.box]
	if d == nil {
		d = new(digester)
		c.digests[g.box] = d
	}
	at := extent{c.number, g.hasBlocks, g.blocksEpoch, g.first, g.last}
	for _, r := range d.group(at, g.source, g.blocks) {
		c.content = r.digest.Append(c.content[:0], r.level > 0)
		how, payload := c.packer.Content(c.payload[:0], c.content)
		c.payload = payload
		if err := c.row(&digestsTable, r.values(payload, int64(how))...); err != nil {
			return err
		}
	}
	return nil
}
