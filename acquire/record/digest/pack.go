package digest

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"slices"
)

// ErrContent is the cause of every content that cannot be a packed digest.
var ErrContent = errors.New("no digest")

// The forms of a channel.
const (
	formValues  = 1 << iota // lowest and highest are floating
	formSums                // with sums of codes
	formProduct             // with the sum of products
	formAll     = formValues | formSums | formProduct
)

// mostCells bounds the cells of one channel in a digest, so that a damaged length
// cannot make a reader take all the memory there is.
const mostCells = 1 << 20

// headLength is that of what stands before the columns of a channel.
const headLength = 1 + 1 + 4 + 8

// Append packs a digest behind dst: with its sums, or the extremes alone.
func (d Digest) Append(dst []byte, sums bool) []byte {
	for k := range d {
		dst = d[k].append(dst, sums)
	}
	return dst
}

func (c *Channel) append(dst []byte, sums bool) []byte {
	form := c.form(sums)
	dst = append(dst, byte(c.Number), form)
	dst = binary.LittleEndian.AppendUint32(dst, uint32(len(c.Cells)))
	dst = binary.LittleEndian.AppendUint64(dst, uint64(c.Cells[0].Index))
	numbers := make([]uint64, len(c.Cells))
	for _, column := range columnsOf(form) {
		before := Cell{Index: c.Cells[0].Index - 1}
		for k := range c.Cells {
			numbers[k] = column.number(&before, &c.Cells[k])
			before = c.Cells[k]
		}
		dst = planes(dst, numbers)
	}
	return dst
}

// form chooses how the channel is packed.
func (c *Channel) form(sums bool) byte {
	form := byte(0)
	for k := range c.Cells {
		cell := &c.Cells[k]
		if !isCode(cell.Low) || !isCode(cell.High) {
			form |= formValues
		}
		if sums && cell.Sum != 0 {
			form |= formSums
		}
		if sums && cell.Product != 0 {
			form |= formProduct
		}
	}
	return form
}

// isCode tells whether a value is a whole number that comes back from an integer.
func isCode(v float64) bool {
	return v == math.Trunc(v) && math.Abs(v) <= 1<<31 && !(v == 0 && math.Signbit(v))
}

// column is one number of every cell, as it differs from the cell before, or from
// what else of the cell is known.
type column struct {
	number func(before, c *Cell) uint64
	take   func(before, c *Cell, number uint64)
}

// The columns, in their order.
var (
	indexColumn = column{
		func(before, c *Cell) uint64 { return uint64(c.Index-before.Index) - 1 },
		func(before, c *Cell, n uint64) { c.Index = before.Index + int64(n+1) },
	}
	countColumn = column{
		func(before, c *Cell) uint64 { return zigzag(c.Count - before.Count) },
		func(before, c *Cell, n uint64) { c.Count = before.Count + unzigzag(n) },
	}
	breaksColumn = column{
		func(_, c *Cell) uint64 { return uint64(c.Breaks) },
		func(_, c *Cell, n uint64) { c.Breaks = int64(n) },
	}
	lowCode = column{
		func(before, c *Cell) uint64 { return zigzag(int64(c.Low) - int64(before.Low)) },
		func(before, c *Cell, n uint64) { c.Low = float64(int64(before.Low) + unzigzag(n)) },
	}
	highCode = column{
		func(_, c *Cell) uint64 { return uint64(int64(c.High) - int64(c.Low)) },
		func(_, c *Cell, n uint64) { c.High = float64(int64(c.Low) + int64(n)) },
	}
	lowValue = column{
		func(before, c *Cell) uint64 { return math.Float64bits(c.Low) ^ math.Float64bits(before.Low) },
		func(before, c *Cell, n uint64) { c.Low = math.Float64frombits(n ^ math.Float64bits(before.Low)) },
	}
	highValue = column{
		func(_, c *Cell) uint64 { return math.Float64bits(c.High) ^ math.Float64bits(c.Low) },
		func(_, c *Cell, n uint64) { c.High = math.Float64frombits(n ^ math.Float64bits(c.Low)) },
	}
	plainSum = column{
		func(_, c *Cell) uint64 { return zigzag(c.Sum) },
		func(_, c *Cell, n uint64) { c.Sum = unzigzag(n) },
	}
	sumColumn = column{
		func(_, c *Cell) uint64 { return zigzag(c.Sum - c.Count*int64(c.Low)) },
		func(_, c *Cell, n uint64) { c.Sum = unzigzag(n) + c.Count*int64(c.Low) },
	}
	productColumn = column{
		func(before, c *Cell) uint64 { return zigzag(c.Product - before.Product) },
		func(before, c *Cell, n uint64) { c.Product = before.Product + unzigzag(n) },
	}
)

func columnsOf(form byte) []column {
	columns, sum := []column{indexColumn, countColumn, breaksColumn, lowCode, highCode}, sumColumn
	if form&formValues != 0 {
		columns[3], columns[4], sum = lowValue, highValue, plainSum
	}
	if form&formSums != 0 {
		columns = append(columns, sum)
	}
	if form&formProduct != 0 {
		columns = append(columns, productColumn)
	}
	return columns
}

// planes appends numbers: how many bytes each of them needs, then that many planes of
// one byte of every number, the lowest first.
func planes(dst []byte, numbers []uint64) []byte {
	all := uint64(0)
	for _, n := range numbers {
		all |= n
	}
	width := 0
	for ; all != 0; all >>= 8 {
		width++
	}
	dst = append(dst, byte(width))
	for plane := range width {
		for _, n := range numbers {
			dst = append(dst, byte(n>>(8*plane)))
		}
	}
	return dst
}

func zigzag(d int64) uint64 { return uint64(d<<1) ^ uint64(d>>63) }

func unzigzag(z uint64) int64 { return int64(z>>1) ^ -int64(z&1) }

// Decoder reads what Append packed, digest after digest into the same memory.
type Decoder struct{ digest Digest }

// Decode reads the channels of a digest that are wanted. They last until it is called again.
func (r *Decoder) Decode(content []byte, wanted func(channel int) bool) (Digest, error) {
	room := r.digest[:cap(r.digest)]
	d, last := room[:0], -1
	for len(content) > 0 {
		var c Channel
		if len(d) < len(room) {
			c.Cells = room[len(d)].Cells[:0]
		}
		number := int(content[0])
		rest, err := c.decode(content, wanted(number))
		if err != nil {
			return nil, err
		}
		if number <= last {
			return nil, fmt.Errorf("%w: channel %d stands behind channel %d", ErrContent, number, last)
		}
		if last, content = number, rest; len(c.Cells) > 0 {
			d = append(d, c)
		}
	}
	r.digest = d
	return d, nil
}

func (c *Channel) decode(from []byte, wanted bool) (rest []byte, err error) {
	if len(from) < headLength {
		return nil, fmt.Errorf("%w: %d bytes where a channel begins", ErrContent, len(from))
	}
	form, n := from[1], binary.LittleEndian.Uint32(from[2:])
	if form&^formAll != 0 || n < 1 || n > mostCells {
		return nil, fmt.Errorf("%w: %d cells of form %d", ErrContent, n, form)
	}
	c.Number = int(from[0])
	first := &Cell{Index: int64(binary.LittleEndian.Uint64(from[6:])) - 1}
	from = from[headLength:]
	columns := columnsOf(form)
	if len(from) < len(columns) { // a byte each at the least, before there is room for n cells
		return nil, fmt.Errorf("%w: the columns of channel %d are missing", ErrContent, c.Number)
	}
	if wanted {
		c.Cells = slices.Grow(c.Cells[:0], int(n))[:n]
		clear(c.Cells)
	}
	for k := range columns {
		if len(from) < 1 || from[0] > 8 || len(from)-1 < int(from[0])*int(n) {
			return nil, fmt.Errorf("%w: a column of channel %d is cut", ErrContent, c.Number)
		}
		width := int(from[0])
		planes := from[1 : 1+width*int(n)]
		if from = from[1+len(planes):]; wanted {
			c.take(planes, width, first, columns[k].take)
		}
	}
	return from, c.check()
}

// take reads one column of all cells.
func (c *Channel) take(planes []byte, width int, before *Cell, take func(before, c *Cell, number uint64)) {
	n := len(c.Cells)
	for k := range c.Cells {
		number := uint64(0)
		for at, shift := k, 0; shift < 8*width; at, shift = at+n, shift+8 {
			number |= uint64(planes[at]) << shift
		}
		take(before, &c.Cells[k], number)
		before = &c.Cells[k]
	}
}

// check refuses cells that no samples come to.
func (c *Channel) check() error {
	for k := range c.Cells {
		cell := &c.Cells[k]
		if cell.Count < 1 || cell.Breaks < 0 || cell.Breaks > cell.Count || !(cell.Low <= cell.High) || math.IsInf(cell.Low, 0) || math.IsInf(cell.High, 0) ||
			k > 0 && cell.Index <= c.Cells[k-1].Index {
			return fmt.Errorf("%w: cell %d of channel %d has %d samples, %d breaks, %g to %g", ErrContent, k, c.Number, cell.Count, cell.Breaks, cell.Low, cell.High)
		}
	}
	return nil
}
