package digest

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
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

// Decode reads what Append packed.
func Decode(content []byte) (Digest, error) {
	var d Digest
	for len(content) > 0 {
		var c Channel
		rest, err := c.decode(content)
		if err != nil {
			return nil, err
		}
		if len(d) > 0 && c.Number <= d[len(d)-1].Number {
			return nil, fmt.Errorf("%w: channel %d stands behind channel %d", ErrContent, c.Number, d[len(d)-1].Number)
		}
		d, content = append(d, c), rest
	}
	return d, nil
}

func (c *Channel) decode(from []byte) (rest []byte, err error) {
	if len(from) < headLength {
		return nil, fmt.Errorf("%w: %d bytes where a channel begins", ErrContent, len(from))
	}
	form, n := from[1], binary.LittleEndian.Uint32(from[2:])
	if form&^formAll != 0 || n < 1 || n > mostCells {
		return nil, fmt.Errorf("%w: %d cells of form %d", ErrContent, n, form)
	}
	c.Number = int(from[0])
	first := Cell{Index: int64(binary.LittleEndian.Uint64(from[6:])) - 1}
	from = from[headLength:]
	if len(from) < len(columnsOf(form)) { // a byte each at the least, before there is room for n cells
		return nil, fmt.Errorf("%w: the columns of channel %d are missing", ErrContent, c.Number)
	}
	c.Cells = make([]Cell, n)
	for _, column := range columnsOf(form) {
		if from, err = c.take(from, first, column); err != nil {
			return nil, err
		}
	}
	return from, c.check()
}

// take reads one column of all cells.
func (c *Channel) take(from []byte, before Cell, column column) (rest []byte, err error) {
	n := len(c.Cells)
	if len(from) < 1 || from[0] > 8 || len(from)-1 < int(from[0])*n {
		return nil, fmt.Errorf("%w: a column of channel %d is cut", ErrContent, c.Number)
	}
	width, at := int(from[0]), from[1:]
	for k := range c.Cells {
		number := uint64(0)
		for plane := range width {
			number |= uint64(at[plane*n+k]) << (8 * plane)
		}
		column.take(&before, &c.Cells[k], number)
		before = c.Cells[k]
	}
	return at[width*n:], nil
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
