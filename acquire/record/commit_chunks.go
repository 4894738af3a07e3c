package record

import "arctally/acquire/series"

// partAll is the part of a chunk whose columns are all in one row, as they are from
// version 4 on.
const partAll = "all"

// The columns of a chunk. Each has a number, and was a row of its own before version 4.
const (
	voltage  uint8 = iota + 1 // codes
	current                   // codes
	arcFlag                   // whether the arc is on, as the source says it
	sums                      // windows
	channels                  // of slow values
	values                    // slow
	counts                    // of turns
	ticks                     // of every sample
	runs                      // lengths of the runs at an even pace
	starts                    // ticks of their first samples
)

// columnNames are the parts that they were.
var columnNames = map[string]uint8{
	"voltage": voltage, "current": current, "flag": arcFlag, "sums": sums, "channel": channels, "value": values, "count": counts,
	"ticks": ticks, "runs": runs, "starts": starts,
}

// cursor walks the columns of a lane, chunk by chunk.
type cursor struct {
	lane                      *lane
	sample, tick, flag, runAt int
}

// chunks writes the chunks of a group: Slow and Turn before Arc and Sums, as
// they are read.
func (c *committer) chunks(g *group) error {
	number := int64(0)
	for _, kind := range []series.Kind{series.Slow, series.Turn, series.Arc, series.Sums} {
		at := cursor{lane: &g.lanes[laneOf(kind)]}
		for k := range at.lane.chunks {
			number++
			if err := c.chunk(number, &at.lane.chunks[k], &at); err != nil {
				return err
			}
		}
	}
	return nil
}

// chunk writes a chunk and moves the cursor past it.
func (c *committer) chunk(number int64, head *chunk, at *cursor) error {
	c.times(head, at)
	c.samples(head, at)
	at.sample += head.n
	how, payload := c.packer.Joined(c.payload[:0])
	c.payload = payload
	return c.row(&chunksTable, number, kindNames[head.kind], partAll, int64(head.epoch), head.tick, head.step,
		int64(head.n), count(head.broken), int64(how), payload)
}

// times packs the ticks of a chunk whose samples are not all at one even pace.
func (c *committer) times(head *chunk, at *cursor) {
	if head.explicit {
		c.packer.Numbers(ticks, at.lane.ticks[at.tick:at.tick+head.n])
		at.tick += head.n
		return
	}
	those := at.lane.runs[at.runAt : at.runAt+head.runs]
	at.runAt += head.runs
	if len(those) == 1 {
		return
	}
	lengths, begins := make([]int64, len(those)), make([]int64, len(those))
	for k, r := range those {
		lengths[k], begins[k] = int64(r.n), r.tick
	}
	c.packer.Numbers(runs, lengths)
	c.packer.Numbers(starts, begins)
}

// samples packs what a chunk has besides ticks.
func (c *committer) samples(head *chunk, at *cursor) {
	l, p, from, to := at.lane, c.packer, at.sample, at.sample+head.n
	switch head.kind {
	case series.Arc:
		p.Codes(voltage, l.v[from:to])
		p.Codes(current, l.i[from:to])
		if head.flagged {
			p.Bits(arcFlag, l.flags[at.flag:at.flag+head.n])
			at.flag += head.n
		}
	case series.Sums:
		p.Sums(sums, l.sums[from:to])
	case series.Slow:
		p.Bytes(channels, l.channel[from:to])
		p.Floats(values, l.value[from:to])
	default:
		p.Numbers(counts, l.count[from:to])
	}
}
