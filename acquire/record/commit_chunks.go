package record

import (
	"arctally/acquire/record/codec"
	"arctally/acquire/series"
)

// The parts of a chunk: each is one row.
const (
	partVoltage = "voltage" // codes
	partCurrent = "current" // codes
	partFlag    = "flag"
	partSums    = "sums"
	partChannel = "channel"
	partValue   = "value"
	partCount   = "count"
	partTicks   = "ticks"  // of every sample
	partRuns    = "runs"   // lengths of the runs at an even pace
	partStarts  = "starts" // ticks of their first samples
)

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

// chunk writes the rows of one chunk and moves the cursor past it.
func (c *committer) chunk(number int64, head *chunk, at *cursor) error {
	add := func(part string, how codec.ID, payload []byte) error {
		c.payload = payload
		return c.row(&chunksTable, number, kindNames[head.kind], part, int64(head.epoch), head.tick, head.step,
			int64(head.n), count(head.broken), int64(how), payload)
	}
	if err := c.times(head, at, add); err != nil {
		return err
	}
	if err := c.samples(head, at, add); err != nil {
		return err
	}
	at.sample += head.n
	return nil
}

// times writes the ticks of a chunk whose samples are not all at one even pace.
func (c *committer) times(head *chunk, at *cursor, add func(string, codec.ID, []byte) error) error {
	if head.explicit {
		how, payload := c.packer.Numbers(c.payload[:0], at.lane.ticks[at.tick:at.tick+head.n])
		at.tick += head.n
		return add(partTicks, how, payload)
	}
	runs := at.lane.runs[at.runAt : at.runAt+head.runs]
	at.runAt += head.runs
	if len(runs) == 1 {
		return nil
	}
	lengths, starts := make([]int64, len(runs)), make([]int64, len(runs))
	for k, r := range runs {
		lengths[k], starts[k] = int64(r.n), r.tick
	}
	how, payload := c.packer.Numbers(c.payload[:0], lengths)
	if err := add(partRuns, how, payload); err != nil {
		return err
	}
	how, payload = c.packer.Numbers(c.payload[:0], starts)
	return add(partStarts, how, payload)
}

// samples writes the columns of a chunk.
func (c *committer) samples(head *chunk, at *cursor, add func(string, codec.ID, []byte) error) error {
	l, p, from, to := at.lane, c.packer, at.sample, at.sample+head.n
	switch head.kind {
	case series.Arc:
		return c.arc(head, at, add)
	case series.Sums:
		how, payload := p.Sums(c.payload[:0], l.sums[from:to])
		return add(partSums, how, payload)
	case series.Slow:
		how, payload := p.Bytes(c.payload[:0], l.channel[from:to])
		if err := add(partChannel, how, payload); err != nil {
			return err
		}
		how, payload = p.Floats(c.payload[:0], l.value[from:to])
		return add(partValue, how, payload)
	default:
		how, payload := p.Numbers(c.payload[:0], l.count[from:to])
		return add(partCount, how, payload)
	}
}

func (c *committer) arc(head *chunk, at *cursor, add func(string, codec.ID, []byte) error) error {
	l, p, from, to := at.lane, c.packer, at.sample, at.sample+head.n
	how, payload := p.Codes(c.payload[:0], l.v[from:to])
	if err := add(partVoltage, how, payload); err != nil {
		return err
	}
	how, payload = p.Codes(c.payload[:0], l.i[from:to])
	if err := add(partCurrent, how, payload); err != nil || !head.flagged {
		return err
	}
	how, payload = p.Bits(c.payload[:0], l.flags[at.flag:at.flag+head.n])
	at.flag += head.n
	return add(partFlag, how, payload)
}
