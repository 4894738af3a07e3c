package series

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Layout says which column of a plain meter's lines means what. A plain meter sends
// numbers, a line each time it has measured, without a sequence number and without a
// checksum.
type Layout struct {
	Columns   []Column
	Separator byte // between two columns; a space stands for any run of spaces and tabs
	Point     byte // the decimal mark: '.' or ','
}

// Column is where a quantity stands in a line, and what one unit of the number written
// there is worth in the unit of its channel.
type Column struct {
	Channel string // one of ColumnChannels
	Number  int    // from 1
	Factor  float64
}

// columnUnits are the channels that a plain meter may have, with the units in which
// they are once the factor is applied.
var columnUnits = []Channel{
	{Name: "voltage", Unit: "V"},
	{Name: "current", Unit: "A"},
	{Name: "wire_speed", Unit: "m/s"},
	{Name: "gas_flow", Unit: "L/min"},
	{Name: "temperature", Unit: "degC"},
}

// ColumnChannels returns the names of the channels that a column may be.
func ColumnChannels() (names []string) {
	for _, c := range columnUnits {
		names = append(names, c.Name)
	}
	return names
}

// UnitOfColumn returns the unit of a channel after its factor; "" where there is no
// such channel.
func UnitOfColumn(channel string) string {
	k := slices.IndexFunc(columnUnits, func(c Channel) bool { return c.Name == channel })
	if k < 0 {
		return ""
	}
	return columnUnits[k].Unit
}

// Bounds of a column: 128 numbers fit in the longest line, and no factor between two
// units of one quantity is beyond these.
const (
	MostColumns   = 128
	leastFactor   = 1e-9
	largestFactor = 1e9
)

// ParseColumn reads COLUMN[*FACTOR], the column by its number from 1, as import does.
func ParseColumn(channel, text string) (Column, error) {
	c := Column{Channel: channel, Factor: 1}
	number, factor, scaled := strings.Cut(text, "*")
	var err error
	if c.Number, err = strconv.Atoi(strings.TrimSpace(number)); err != nil || c.Number < 1 || c.Number > MostColumns {
		return c, fmt.Errorf("%q: write COLUMN or COLUMN*FACTOR, the column by its number from 1 to %d: 2*0.1", text, MostColumns)
	}
	if !scaled {
		return c, nil
	}
	c.Factor, err = strconv.ParseFloat(strings.TrimSpace(factor), 64)
	if size := math.Abs(c.Factor); err != nil || !(leastFactor <= size && size <= largestFactor) {
		return c, fmt.Errorf("%q: the factor is a number from %v to %v, or the same below zero", text, leastFactor, largestFactor)
	}
	return c, nil
}

// String writes the column as ParseColumn reads it.
func (c Column) String() string {
	if c.Factor == 1 {
		return strconv.Itoa(c.Number)
	}
	return strconv.Itoa(c.Number) + "*" + strconv.FormatFloat(c.Factor, 'g', -1, 64)
}

// Column returns that of a channel.
func (l Layout) Column(channel string) (Column, bool) {
	k := slices.IndexFunc(l.Columns, func(c Column) bool { return c.Channel == channel })
	if k < 0 {
		return Column{}, false
	}
	return l.Columns[k], true
}
