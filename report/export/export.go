// Package export knows how samples and results leave the record for other
// programs: as CSV, as Parquet, as JSON and as line protocol. It writes as it
// reads, in constant memory, and text without an allocation per sample.
//
// A value is the code on the line of its channel, corrected by the line of the
// calibration where there is one, in twelve digits: finer than any converter, and
// short of what binary arithmetic puts behind them:
//
//	value = code*(scale*gain) + (offset*gain + calibration offset)
//
// CSV writes what has a voltage and a current, one row a sample or a window of
// sums, and can be imported again; SlowCSV writes every other channel and the
// turn counts, one row a value. Both carry epoch and tick_ns, the time on the
// clock of the source, and the column break: 1 where something is missing
// between this row and the one before, so that no line may be drawn and no
// energy summed between them. The column time is RFC 3339 with nine decimals
// in UTC, or seconds on the clock of the source where its date is not known.
//
// Parquet and SlowParquet write the same columns with types. A row group holds
// about a minute; the file says of itself, beside its columns, which job,
// procedure and record it is of, what each column means, its unit, the sources
// and the calibrations. A group is what is held in memory.
//
// JSON writes the results; schema.json is its JSON Schema, with a description
// and a unit for each field. TableCSV and TableParquet write the passes or the
// findings of it as a table, and take the meaning of their columns from there.
//
// LineProtocol writes the measurements arc, sums, slow, turn, pass and finding
// with nanosecond time stamps; it needs the wall time of everything it writes.
//
// In CSV a text that a spreadsheet would take for a formula has an apostrophe before
// it, and what is hidden in it is shown by its number; every other format has the text
// as it is.
//
// What is not known is an empty cell, a missing field or null.
//
// Errors: those of the writer and of the samples come back at once; a sample
// without wall time is ErrNoWallTime, and CSV will do. Another table than those
// of results is an error; a job without its sheet panics.
package export

import (
	"errors"
	"fmt"
	"iter"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// ErrNoWallTime is returned where a format needs a date that the clock of the
// source does not have.
var ErrNoWallTime error = noWallTimeError{}

type noWallTimeError struct{}

// Error implements error.
func (noWallTimeError) Error() string {
	return "the wall time is not known, and line protocol cannot do without it: export as csv or parquet, which have the source's own clock"
}

// Hint says what does without it.
func (noWallTimeError) Hint() string { return "arctally export RECORD --format csv" }

// Part is a step through the samples: a description that is in force from here
// on, or a block, or both, the description first.
type Part struct {
	Source *series.Source
	Block  *series.Block
}

// Samples is what is exported. Parts may hand out the same block again and
// again: nothing of it is kept.
type Samples struct {
	Parts iter.Seq2[Part, error]
	// Register has the calibrations. Each holds for whole blocks: from the first one that
	// begins at its place, or after it.
	Register calib.Register
	// WallTime tells the wall time of a tick, false where it is not known; nil
	// stands for a clock without date.
	WallTime func(epoch int, tick int64) (time.Time, bool)
}

// walk calls visit for every block with the source in force, until an error.
func (s Samples) walk(visit func(*series.Source, *series.Block) error) error {
	if s.Parts == nil {
		return nil
	}
	var source *series.Source
	for part, err := range s.Parts {
		if err != nil {
			return fmt.Errorf("read samples: %w", err)
		}
		if part.Source != nil {
			own := *part.Source
			source = &own
		}
		if part.Block == nil {
			continue
		}
		if source == nil || len(source.Channels) <= series.CurrentChannel {
			return errors.New("samples came before the description of their source")
		}
		if err := visit(source, part.Block); err != nil {
			return err
		}
	}
	return nil
}

// wall returns the wall time of a tick.
func (s Samples) wall(epoch int, tick int64) (time.Time, bool) {
	if s.WallTime == nil {
		return time.Time{}, false
	}
	return s.WallTime(epoch, tick)
}

// lineOf joins the line of a channel with that of the calibration that holds for
// the block; of two calibrations of one channel the later rules.
func (s Samples) lineOf(source *series.Source, channel int, b *series.Block) calib.Line {
	c := source.Channels[channel]
	if b.Len() == 0 {
		return calib.LineOf(c)
	}
	return s.under(calib.LineOf(c), source, channel, b)
}

// under returns the line of a channel of the source in force with its calibration.
func (s Samples) under(line calib.Line, source *series.Source, channel int, b *series.Block) calib.Line {
	c := source.Channels[channel]
	c.Owner = source.OwnerOf(c)
	return s.Register.Corrected(line, c, b.Epoch, b.At(0))
}

// corrected corrects a value that came in the unit of its channel.
func (s Samples) corrected(source *series.Source, channel int, b *series.Block, value float64) float64 {
	return valueOf(s.under(calib.InUnit(), source, channel, b), value)
}

// slowValue is one value of a channel other than voltage and current, or one count
// of the turn encoder.
type slowValue struct {
	channel, unit string
	value         float64
}

// slowValue returns value k of a block, false where the block has none of them.
func (s Samples) slowValue(source *series.Source, b *series.Block, k int) (slowValue, bool, error) {
	switch b.Kind {
	case series.Turn:
		return slowValue{channel: "turn_count", value: float64(b.Count[k])}, true, nil
	case series.Slow:
		if int(b.Channel[k]) >= len(source.Channels) {
			return slowValue{}, false, fmt.Errorf("channel %d at tick %d is not one of the %d of the source", b.Channel[k], b.At(k), len(source.Channels))
		}
		c := source.Channels[b.Channel[k]]
		return slowValue{c.Name, c.Unit, s.corrected(source, int(b.Channel[k]), b, b.Value[k])}, true, nil
	default:
		return slowValue{}, false, nil
	}
}

// means are the calibrated means of a window of sums.
type means struct{ volts, amperes, watts float64 }

// calibrationObject is a calibration and the place from which it holds.
type calibrationObject struct {
	calib.Calibration
	Epoch  int   `json:"epoch"`
	TickNS int64 `json:"tick_ns"`
}

func (s Samples) calibrationObjects() (objects []calibrationObject) {
	for _, c := range s.Register.All {
		objects = append(objects, calibrationObject{c.Calibration, c.Epoch, c.Tick})
	}
	return objects
}

func meansOf(sum series.WindowSums, v, i calib.Line) (means, bool) {
	if sum.Count == 0 {
		return means{}, false
	}
	n := float64(sum.Count)
	cv, ci, cvi := float64(sum.V)/n, float64(sum.I)/n, float64(sum.VI)/n
	return means{volts: valueOf(v, cv), amperes: valueOf(i, ci), watts: calib.SumOfProducts(v, i, 1, cvi, cv, ci)}, true
}
