// Package capture brings measurements that others made, text in rows and
// columns, into the project's own terms, in the shape in which they were made:
// nothing is sorted, resampled, filled in or dropped in silence.
//
// Terms. A row is one line with a sample of voltage and current. A flag is a
// column that says whether the arc burns; it rules where it exists. The refresh
// interval is the time after which a source measures anew; messages in between
// repeat the former values. Values are held where they go on standing still
// after the arc has gone out; they may be held where an arc that is steady against the
// steps of the display would look the same. A look is a row at which values are
// compared with those of 20 ms before. A gap is a step in time longer than MaxStep. An
// epoch is a stretch of one clock: a clock that was set back begins the next.
//
// The file is read twice, in constant memory. The first reading measures what
// the second needs: the step of time, the refresh interval, the digits of each
// column. Numbers are kept as the digits that were written,
//
//	code = digits,  value = code * factor * 10^-decimals
//
// and times to the nanosecond, both without passing through binary fractions.
//
// Ticks. Where the clock has a date a tick is Unix time in ns. Where it has
// none, a tick is the reading of the capture's own clock in ns, unrolled where
// that clock wraps at the full hour or day. Without a time column sample k of
// a rate f in Hz stands at
//
//	tick_k = round(10^9 * k / f)
//
// Errors are of type *Error: they name the capture and line and say what to do.
package capture

import (
	"io"
	"time"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
)

// Options say which column means what. A column is COLUMN[*FACTOR]: a name of
// the header or a number from 1, and what one unit of it is worth in V, A, m/s,
// m, turns (or s, for a time that is a number). What is left out is taken from the
// header where that is unambiguous.
type Options struct {
	Time       string // one column, or several joined with +
	TimeLayout string // a layout of Go's time package, or "unix"
	Voltage    string
	Current    string
	WireSpeed  string
	WireLength string
	Turns      string // of the torch, cumulative
	Position   string // of the torch: one column, or several joined with +
	Travel     string // speed along the bead
	ArcFlag    string // non-zero is arc on
	Rate       quantity.Hertz
}

// Summary counts what was found. Every row of data is in exactly one of
// Samples, Unreadable and NoValue.
type Summary struct {
	Source series.Source

	Rows       int64   // rows of data
	Samples    int64   // rows with a time, a voltage and a current
	Unreadable int64   // rows that could not be read
	Left       []int64 // lines of the first of them
	NoValue    int64   // rows with an empty voltage, current or flag
	NoWire     int64   // samples whose columns of wire or travel were empty or unreadable
	Comments   int64   // lines that begin with #
	Preamble   int64   // lines before the first row of data, the header among them

	Backward  int64 // samples with a time before that of the sample before them
	Repeated  int64 // samples with the same time as the sample before them
	Behind    int64 // samples at or before the latest time of their epoch
	Gaps      int64
	GapTotal  time.Duration
	Step      time.Duration // median of the steps forward
	Refresh   time.Duration // the capture's own refresh interval; 0 where values change with the rows
	Basis     series.Basis
	First     int64 // tick
	Last      int64 // tick
	Epochs    int
	Dated     bool // ticks are Unix time
	Flagged   bool // there is an arc flag
	Notes     []string
	HeldAfter time.Duration
	// MayBeHeldAfter is series.Source.MayBeHeldAfter.
	MayBeHeldAfter time.Duration
}

// Import reads the capture and hands it to the sink, in the order of its rows. Progress, where not nil,
// is told the bytes read so far out of the bytes to read in all.
func Import(r io.ReaderAt, size int64, name string, o Options, sink series.Sink, progress func(done, total int64)) (Summary, error) {
	p, err := sniff(r, size, name, o)
	if err != nil {
		return Summary{}, err
	}
	report := func(base int64) func(int64) {
		return func(done int64) {
			if progress != nil {
				progress(base+done, 2*size)
			}
		}
	}
	m := newMeasure(p)
	if err := p.run(r, size, report(0), m); err != nil {
		return Summary{}, err
	}
	found, err := m.findings()
	if err != nil {
		return Summary{}, err
	}
	s := newStream(p, found, sink)
	if err := s.open(); err != nil {
		return s.sum, err
	}
	if err := p.run(r, size, report(size), s); err != nil {
		return s.sum, err
	}
	return s.sum, s.close()
}
