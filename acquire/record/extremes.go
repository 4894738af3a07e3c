package record

import (
	"math"
	"slices"

	"arctally/acquire/record/digest"
)

// Extremes is the lowest and the highest of a channel in one cell of an epoch: a stretch
// of time that has samples.
type Extremes struct {
	Tick     int64   // where the cell begins
	Min, Max float64 // in the unit of the channel, uncorrected
	Broken   bool    // a sample in it does not follow the one before that sample
}

// Coarsest is the level of digests with the longest cells.
const Coarsest = digest.Levels - 1

// CellLength returns the length of the cells of a level of digests, ns.
func CellLength(level int) int64 { return digest.Length(level) }

// Finest returns the finest level of digests that serves a commit group: those before
// version 4 of the format have summaries of a second.
func (r *Reader) Finest(commit int64) (level int, err error) {
	err = r.renewDigested()
	if commit < r.digested {
		level = levelOfSecond
	}
	return level, err
}

// Extremes returns, for each of the channels, the extremes of the cells of a level that
// overlap [from, until), in the order of time. They are those of the samples, exactly,
// and it reads no more of the record than the window touches. Commit groups from before
// version 4 serve only levels from a second on.
func (r *Reader) Extremes(channels []int, epoch int, from, until int64, level int) ([][]Extremes, error) {
	if err := r.renewDigested(); err != nil {
		return nil, err
	}
	w := &window{reader: r, epoch: epoch, level: level}
	w.from, w.until = wholeCells(from, until, digest.Length(level))
	for _, channel := range channels {
		scales, err := r.lines(channel, epoch)
		if err != nil {
			return nil, err
		}
		w.channels = append(w.channels, channelExtremes{channel: channel, scales: scales})
	}
	err := w.read()
	found := make([][]Extremes, len(channels))
	for k := range w.channels {
		found[k] = w.channels[k].found
	}
	if err == nil {
		err = r.unchanged()
	}
	return found, err
}

// wholeCells widens a stretch to whole cells, as far as ticks go.
func wholeCells(from, until, length int64) (int64, int64) {
	if from > math.MinInt64+length {
		from = digest.Floor(from, length) * length
	}
	if until < math.MaxInt64-length {
		until = (digest.Floor(until-1, length) + 1) * length
	}
	return from, until
}

// channelExtremes gathers those of one channel.
type channelExtremes struct {
	channel int
	scales  lines
	found   []Extremes
}

// add takes a cell of samples that were recorded with a commit group.
func (c *channelExtremes) add(commit int64, tick int64, cell *digest.Cell) {
	e := Extremes{Tick: tick, Broken: cell.Breaks > 0}
	e.Min, e.Max = c.scales.at(commit*idsPerCommit).between(cell.Low, cell.High)
	c.join(e)
}

// join adds a cell, or what is another part of one.
func (c *channelExtremes) join(e Extremes) {
	k := len(c.found)
	for k > 0 && c.found[k-1].Tick > e.Tick { // near the end, but where a clock stepped back
		k--
	}
	if k == 0 || c.found[k-1].Tick < e.Tick {
		c.found = slices.Insert(c.found, k, e)
		return
	}
	last := &c.found[k-1]
	last.Min, last.Max, last.Broken = min(last.Min, e.Min), max(last.Max, e.Max), last.Broken || e.Broken
}
