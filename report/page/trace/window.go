package trace

import (
	"fmt"
	"math/bits"
)

// Window is a stretch of an epoch, [From, Until), and how wide it is drawn.
type Window struct {
	Epoch       int
	From, Until int64 // ticks, ns
	Columns     int
}

// MostColumns is wider than any screen.
const MostColumns = 8192

// Kind names what is wrong with a request; the list only grows at its end.
type Kind uint8

// The kinds of error.
const (
	BadWindow  Kind = iota + 1 // the window is empty, inverted or longer than a tick can count
	BadColumns                 // no columns, or too many
	Outside                    // there is no sample of that epoch near the window
	Unknown                    // there is no such channel
	Mixed                      // a channel changes its unit within the window
)

// Error is a request that cannot be met. Field names the part of it that is wrong.
type Error struct {
	Kind    Kind
	Field   string
	Detail  string
	Allowed string // what would do
}

// Error returns what is wrong.
func (e *Error) Error() string { return e.Field + ": " + e.Detail }

// Hint says what is allowed.
func (e *Error) Hint() string { return "allowed: " + e.Allowed }

func (w Window) check() error {
	switch {
	case w.Columns < 1 || w.Columns > MostColumns:
		return &Error{Kind: BadColumns, Field: "columns", Detail: fmt.Sprintf("%d columns", w.Columns), Allowed: fmt.Sprintf("1 to %d", MostColumns)}
	case w.Until <= w.From:
		return &Error{
			Kind: BadWindow, Field: "until",
			Detail: fmt.Sprintf("the window ends at %d ns, and begins at %d ns", w.Until, w.From), Allowed: "an end after the beginning",
		}
	case w.Until-w.From < 0: // wrapped around
		return &Error{Kind: BadWindow, Field: "until", Detail: "the window is longer than a clock counts", Allowed: "up to 292 years"}
	}
	return nil
}

func (w Window) width() uint64 { return uint64(w.Until - w.From) }

// column returns the column of a tick within the window.
func (w Window) column(tick int64) int {
	high, low := bits.Mul64(uint64(tick-w.From), uint64(w.Columns))
	column, _ := bits.Div64(high, low, w.width())
	return int(column)
}

// edge returns the tick with which the column after this one begins: the first
// that is not before
//
//	From + (column+1)*(Until-From)/Columns
func (w Window) edge(column int) int64 {
	high, low := bits.Mul64(uint64(column+1), w.width())
	whole, rest := bits.Div64(high, low, uint64(w.Columns))
	if rest > 0 {
		whole++
	}
	return w.From + int64(whole)
}

func (w Window) holds(tick int64) bool { return tick >= w.From && tick < w.Until }

// Lengths says how long the cells are, in ns, by which a record sums up its samples,
// level by level, each longer than the one before, and how many samples of voltage and
// current a window may have and still be read sample by sample.
type Lengths struct {
	Cells       []int64
	MostSamples int
}

// second is how long a column is above which a window is always made of cells, ns, and
// shortWindow how long a window must be to be made of them at all.
const (
	second      = 1_000_000_000
	shortWindow = 12 * second
)

// Level returns the level of the cells of which the window is to be made, where the
// source samples so many times a second; false where it is to be made of samples. Cells
// are the longest that are no longer than a column. Where even the shortest are longer,
// the window is short or the line shows every sample, samples are read, unless there are
// too many.
func (w Window) Level(rate float64, lengths Lengths) (level int, summed bool) {
	column := float64(w.width()) / float64(w.Columns)
	for level = len(lengths.Cells) - 1; level >= 0; level-- {
		if float64(lengths.Cells[level]) <= column {
			break
		}
	}
	samples := float64(w.width()) / second * rate
	if level >= 0 && w.width() >= shortWindow && (column >= second || samples > 2*float64(w.Columns)) {
		return level, true
	}
	return 0, samples > float64(lengths.MostSamples)
}
