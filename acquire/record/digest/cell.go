package digest

import (
	"slices"

	"arctally/acquire/series"
)

// Levels is how many lengths of cells there are.
const Levels = 5

// ratio is how many cells of a level are one of the next.
const ratio = 10

// finest is the length of a cell of level 0, ns.
const finest = 10_000_000

// Length returns the length of a level's cells, ns.
func Length(level int) int64 {
	length := int64(finest)
	for range level {
		length *= ratio
	}
	return length
}

// Cell is what the samples of one channel in one cell come to.
type Cell struct {
	Index     int64 // the cell begins at Index * length
	Count     int64 // samples; those that a window of sums stands for
	Breaks    int64 // samples that do not follow the one before them
	Low, High float64
	Sum       int64 // of codes
	Product   int64 // of the codes of voltage times those of current; stands with voltage
}

// join adds other samples of the same cell.
func (c *Cell) join(o Cell) {
	c.Count += o.Count
	c.Breaks += o.Breaks
	c.Low, c.High = min(c.Low, o.Low), max(c.High, o.High)
	c.Sum += o.Sum
	c.Product += o.Product
}

// Channel holds the cells of one channel, by their index.
type Channel struct {
	Number int // index among the channels of the source
	Cells  []Cell
}

// Digest holds what samples come to, channel by channel, by their numbers.
type Digest []Channel

// Of returns the cells of a channel.
func (d Digest) Of(channel int) []Cell {
	for k := range d {
		if d[k].Number == channel {
			return d[k].Cells
		}
	}
	return nil
}

// Arc returns what it holds of voltage and current.
func (d Digest) Arc() Digest {
	k := 0
	for k < len(d) && d[k].Number <= series.CurrentChannel {
		k++
	}
	return d[:k]
}

// Cells returns how many cells there are in all.
func (d Digest) Cells() int {
	n := 0
	for k := range d {
		n += len(d[k].Cells)
	}
	return n
}

// channel returns the place for the cells of a channel.
func (d *Digest) channel(number int) *Channel {
	k := 0
	for k < len(*d) && (*d)[k].Number < number {
		k++
	}
	if k == len(*d) || (*d)[k].Number != number {
		*d = slices.Insert(*d, k, Channel{Number: number})
	}
	return &(*d)[k]
}

// Merge adds a digest of other samples, of cells of the same length.
func (d *Digest) Merge(o Digest) {
	for k := range o {
		c := d.channel(o[k].Number)
		for _, cell := range o[k].Cells {
			c.Cells = Join(c.Cells, cell)
		}
	}
}

// Coarser returns the digest in cells of the next level.
func (d Digest) Coarser() Digest {
	var coarse Digest
	for k := range d {
		c := coarse.channel(d[k].Number)
		for _, cell := range d[k].Cells {
			cell.Index = Floor(cell.Index, ratio)
			c.Cells = Join(c.Cells, cell)
		}
	}
	return coarse
}

// Join adds a cell to those of a channel, which stay in order.
func Join(cells []Cell, cell Cell) []Cell {
	k := len(cells)
	for k > 0 && cells[k-1].Index > cell.Index { // near the end, but where a clock stepped back
		k--
	}
	if k > 0 && cells[k-1].Index == cell.Index {
		cells[k-1].join(cell)
		return cells
	}
	return slices.Insert(cells, k, cell)
}

// Floor divides and rounds down, also before 0.
func Floor(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
