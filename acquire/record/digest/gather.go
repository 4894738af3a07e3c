package digest

import (
	"math"

	"arctally/acquire/series"
)

// Gatherer makes digests of blocks. It takes all blocks of an epoch in their order:
// whether a sample follows the one before it is seen from one digest to the next.
type Gatherer struct {
	digest  Digest
	samples int
	last    [series.Turn + 1]int64 // tick of the last sample, by kind
	began   [series.Turn + 1]bool
	slow    bool                    // there was a break of the slow channels
	told    [math.MaxUint8 + 1]bool // which the channel has counted
}

// Take returns the digest of what was added since it was last called, and how many
// samples of voltage and current that were, or windows of sums.
func (g *Gatherer) Take() (d Digest, samples int) {
	d, samples = g.digest, g.samples
	g.digest, g.samples, g.slow = nil, 0, false
	return d, samples
}

// Add takes a block. The longest step from a sample to the next is what the source
// says, in ns; 0 is not known, and then it is one and a half of the block's step.
func (g *Gatherer) Add(b *series.Block, longest int64) {
	if b.Len() == 0 {
		return
	}
	if longest == 0 {
		longest = b.Step + b.Step/2
	}
	switch b.Kind {
	case series.Arc:
		g.samples += b.Len()
		g.arc(b, longest)
	case series.Sums:
		g.samples++
		g.sums(b, longest)
	case series.Slow:
		g.values(b)
	case series.Turn: // a cumulative count comes to nothing
	}
}

// breaks returns 1 where a sample at a tick does not follow the one before it.
func (g *Gatherer) breaks(k series.Kind, tick, longest int64, said bool) int64 {
	if said || longest > 0 && g.began[k] && tick > g.last[k] && uint64(tick)-uint64(g.last[k]) > uint64(longest) {
		return 1
	}
	return 0
}

// ends notes the last sample of a kind.
func (g *Gatherer) ends(k series.Kind, tick int64) { g.last[k], g.began[k] = tick, true }

func (g *Gatherer) arc(b *series.Block, longest int64) {
	volts, amperes := g.pair()
	for k := 0; k < len(b.V); {
		tick, n := b.At(k), 1
		if b.Ticks == nil {
			n = within(tick, b.Step, len(b.V)-k)
		}
		v, i := codes(b.V[k:k+n]), codes(b.I[k:k+n])
		v.Index = Floor(tick, finest)
		i.Index = v.Index
		v.Product = product(b.V[k:k+n], b.I[k:k+n])
		v.Breaks = g.breaks(series.Arc, tick, longest, b.Break && k == 0)
		if b.Ticks == nil && b.Step > longest {
			v.Breaks += int64(n - 1)
		}
		i.Breaks = v.Breaks
		volts.Cells, amperes.Cells = Join(volts.Cells, v), Join(amperes.Cells, i)
		k += n
		g.ends(series.Arc, b.At(k-1))
	}
}

// pair returns the places for voltage and current.
func (g *Gatherer) pair() (volts, amperes *Channel) {
	g.digest.channel(series.VoltageChannel)
	amperes = g.digest.channel(series.CurrentChannel)
	return g.digest.channel(series.VoltageChannel), amperes
}

// within returns how many of n samples, the first at tick, lie within its cell.
func within(tick, step int64, n int) int {
	switch {
	case step < 0:
		return 1
	case step == 0:
		return n
	}
	past := tick % finest
	if past < 0 {
		past += finest
	}
	return int(min(int64(n), (finest-past-1)/step+1))
}

// codes returns the cell of some codes.
func codes(c []int32) Cell {
	low, high, sum := c[0], c[0], int64(0)
	for _, code := range c {
		low, high = min(low, code), max(high, code)
		sum += int64(code)
	}
	return Cell{Count: int64(len(c)), Low: float64(low), High: float64(high), Sum: sum}
}

func product(v, i []int32) int64 {
	sum := int64(0)
	i = i[:len(v)]
	for k, code := range v {
		sum += int64(code) * int64(i[k])
	}
	return sum
}

// sums takes a window of sums, which is one sample at its beginning: what it holds
// reaches over the end of the cell.
func (g *Gatherer) sums(b *series.Block, longest int64) {
	w := &b.Sum
	if w.Count == 0 {
		return
	}
	cell := Cell{Index: Floor(b.Tick, finest), Count: int64(w.Count), Breaks: g.breaks(series.Sums, b.Tick, longest, b.Break)}
	volts, amperes := g.pair()
	for k, c := range []*Channel{volts, amperes} {
		cell.Low, cell.High = w.Extremes(k)
		cell.Sum, cell.Product = w.V, w.VI
		if k == series.CurrentChannel {
			cell.Sum, cell.Product = w.I, 0
		}
		c.Cells = Join(c.Cells, cell)
	}
	g.ends(series.Sums, b.Tick+int64(w.Count-1)*b.Step)
}

// values takes slow values. One on a channel of codes is left out, as one cell cannot
// hold both, and so is what is no number.
func (g *Gatherer) values(b *series.Block) {
	if b.Break {
		g.slow, g.told = true, [math.MaxUint8 + 1]bool{}
	}
	for k, value := range b.Value {
		channel := int(b.Channel[k])
		if channel <= series.CurrentChannel || math.IsNaN(value) || math.IsInf(value, 0) {
			continue
		}
		cell := Cell{Index: Floor(b.At(k), finest), Count: 1, Low: value, High: value}
		if g.slow && !g.told[channel] {
			g.told[channel], cell.Breaks = true, 1
		}
		c := g.digest.channel(channel)
		c.Cells = Join(c.Cells, cell)
	}
}
