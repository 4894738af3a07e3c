package record

import (
	"fmt"

	"arctally/acquire/calib"
	"arctally/acquire/clock"
	"arctally/acquire/series"
)

// Limits of one commit group. A live source is cut by the clock, once a second;
// an import is cut by these, so that a group stays small enough to read at once.
const (
	maxGroupSamples = 1 << 16 // more than a second at 50 kHz, so that a group is one chunk
	maxGroupChunks  = 1 << 11 // breaks may make chunks of single samples
	maxGroupOthers  = 1 << 12 // events, fits, calibrations
	// From the first sample to the last, ns. The groups of a window are so found in an
	// index, and no more of them than those that it touches.
	maxGroupTime = 100_000_000_000
)

// A group has one lane for each kind of block, in the order of their constants:
// samples of different kinds do not share chunks.
const laneCount = int(series.Turn)

// laneOf returns the index of a kind's lane.
func laneOf(k series.Kind) int { return int(k) - 1 }

// run is a stretch of samples at one even pace.
type run struct {
	tick int64
	n    int
}

// chunk is the head of a run of samples; they lie in its lane's columns.
type chunk struct {
	kind     series.Kind
	epoch    int
	broken   bool  // does not follow the chunk before it
	tick     int64 // of the first sample
	step     int64
	n        int
	explicit bool // every sample has its own tick
	flagged  bool // every sample has an arc flag
	runs     int  // number of runs, where the ticks are not explicit
}

// lane holds the chunks of one kind, and their samples in columns.
type lane struct {
	chunks []chunk
	runs   []run
	ticks  []int64 // of explicit chunks only

	v, i    []int32
	flags   []bool // of flagged chunks only
	sums    []series.WindowSums
	channel []uint8
	value   []float64
	count   []int64
}

func (l *lane) reset() {
	l.chunks, l.runs, l.ticks = l.chunks[:0], l.runs[:0], l.ticks[:0]
	l.v, l.i, l.flags, l.sums = l.v[:0], l.i[:0], l.flags[:0], l.sums[:0]
	l.channel, l.value, l.count = l.channel[:0], l.value[:0], l.count[:0]
}

// group gathers what the next commit group will hold.
type group struct {
	source       *series.Source // in force from this group on; nil is unchanged
	epoch        int
	tick         int64 // where the source stood when it described itself
	lanes        [laneCount]lane
	events       []series.Event
	fits         []clock.Fit
	checks       []string // as they are encoded
	entries      []Entry
	photographs  []photograph
	calibrations []calib.Timed
	box          int
	first, last  int64 // the least and the greatest tick of a sample, where it has blocks
	samples      int
	chunks       int
	hasBlocks    bool
	blocksEpoch  int
	cost         int // what the group takes of the memory, in samples
}

func (g *group) reset() {
	for k := range g.lanes {
		g.lanes[k].reset()
	}
	clear(g.events) // texts are not kept alive by a group that waits for reuse
	clear(g.checks)
	*g = group{lanes: g.lanes, events: g.events[:0], fits: g.fits[:0], checks: g.checks[:0], calibrations: g.calibrations[:0]}
}

// empty tells whether there is nothing to commit.
func (g *group) empty() bool {
	return g.source == nil && g.samples == 0 && g.others() == 0
}

func (g *group) others() int {
	return len(g.events) + len(g.fits) + len(g.checks) + len(g.calibrations) + len(g.entries) + len(g.photographs)
}

// full tells whether the group must be cut before anything is added.
func (g *group) full() bool {
	return g.samples >= maxGroupSamples || g.chunks >= maxGroupChunks || g.others() >= maxGroupOthers
}

// add takes samples [from, to) of a block; broken is set where they do not
// follow the samples of that kind before them.
func (g *group) add(b *series.Block, from, to int, broken bool) {
	l := &g.lanes[laneOf(b.Kind)]
	n := to - from
	tick := b.At(from)
	if !l.continues(b, broken) {
		l.chunks = append(l.chunks, chunk{
			kind: b.Kind, epoch: b.Epoch, broken: broken, tick: tick, step: b.Step,
			explicit: b.Ticks != nil, flagged: b.Flag != nil && b.Kind == series.Arc,
		})
		g.chunks++
		g.cost += costOfRow
	}
	l.extend(tick, b, from, to)
	for k := from; k < to; k++ {
		g.reach(b.At(k))
	}
	g.samples += n
	g.cost += n
	if b.Ticks != nil {
		g.cost += n
	}
	g.blocksEpoch = b.Epoch
}

// reach widens the extent of the group's samples to a tick.
func (g *group) reach(tick int64) {
	if !g.hasBlocks {
		g.first, g.last, g.hasBlocks = tick, tick, true
	}
	g.first, g.last = min(g.first, tick), max(g.last, tick)
}

// within returns how far samples [from, to) of a block fit in what a group may last.
func (g *group) within(b *series.Block, from, to int) int {
	first, last := g.first, g.last
	if !g.hasBlocks {
		first, last = b.At(from), b.At(from)
	}
	for k := from; k < to; k++ {
		tick := b.At(k)
		first, last = min(first, tick), max(last, tick)
		if uint64(last)-uint64(first) > maxGroupTime { // unsigned, as ticks may be all of 64 bits apart
			return k
		}
	}
	return to
}

// continues tells whether the block can join the lane's last chunk.
func (l *lane) continues(b *series.Block, broken bool) bool {
	if len(l.chunks) == 0 || broken {
		return false
	}
	c := &l.chunks[len(l.chunks)-1]
	return c.epoch == b.Epoch && c.step == b.Step && c.explicit == (b.Ticks != nil) &&
		c.flagged == (b.Flag != nil && b.Kind == series.Arc)
}

// extend adds samples to the lane's last chunk.
func (l *lane) extend(tick int64, b *series.Block, from, to int) {
	c := &l.chunks[len(l.chunks)-1]
	n := to - from
	if c.explicit {
		l.ticks = append(l.ticks, b.Ticks[from:to]...)
	} else {
		l.pace(c, tick, b, n)
	}
	c.n += n
	switch b.Kind {
	case series.Arc:
		l.v, l.i = append(l.v, b.V[from:to]...), append(l.i, b.I[from:to]...)
		if c.flagged {
			l.flags = append(l.flags, b.Flag[from:to]...)
		}
	case series.Sums:
		l.sums = append(l.sums, b.Sum)
	case series.Slow:
		l.channel, l.value = append(l.channel, b.Channel[from:to]...), append(l.value, b.Value[from:to]...)
	case series.Turn:
		l.count = append(l.count, b.Count[from:to]...)
	}
}

// pace lengthens the chunk's last run, or begins one where the tick is not the
// next of it. Windows of sums are never joined: each is a block of its own.
func (l *lane) pace(c *chunk, tick int64, b *series.Block, n int) {
	if c.runs > 0 && b.Kind != series.Sums {
		last := &l.runs[len(l.runs)-1]
		if last.tick+int64(last.n)*c.step == tick {
			last.n += n
			return
		}
	}
	l.runs = append(l.runs, run{tick: tick, n: n})
	c.runs++
}

// check panics where the slices of a block do not belong together.
func check(b *series.Block) {
	n := b.Len()
	wrong := b.Ticks != nil && len(b.Ticks) != n
	switch b.Kind {
	case series.Arc:
		wrong = wrong || len(b.I) != n || b.Flag != nil && len(b.Flag) != n
	case series.Slow:
		wrong = wrong || len(b.Channel) != n
	case series.Sums, series.Turn:
	default:
		panic(fmt.Sprintf("record: block of unknown kind %d", b.Kind))
	}
	if wrong {
		panic("record: the slices of a block differ in length")
	}
}
