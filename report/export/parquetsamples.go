package export

import (
	"fmt"
	"io"
	"math"

	"github.com/parquet-go/parquet-go"

	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// A row group holds about a minute, so that a reader who wants a stretch skips
// the rest; but few samples a minute go together in one, and very many are
// parted, because a group is held in memory.
const (
	groupTime = 60_000_000_000 // ns
	groupLow  = 1 << 16        // rows
	groupHigh = 1 << 20
)

// Parquet writes what CSV writes, under the same names, with its types: time is
// a time stamp in ns, null where the date is not known.
func Parquet(w io.Writer, s Samples, j Job) error {
	return writeSamples(w, s, j, arcColumns, []parquet.Node{
		repeatedOr(), repeatedOr(), repeatedOr(), parquet.Optional(double()), repeatedOr(),
	}, (*sampleFile).arcBlock)
}

// SlowParquet writes what SlowCSV writes.
func SlowParquet(w io.Writer, s Samples, j Job) error {
	return writeSamples(w, s, j, slowColumns, []parquet.Node{
		repeated(parquet.String()), repeatedOr(), parquet.Optional(repeated(parquet.String())),
	}, (*sampleFile).slowBlock)
}

func repeatedOr() parquet.Node { return parquet.Optional(repeated(double())) }

// The places of the columns of samples.
const (
	timeAt = iota
	epochAt
	tickAt
	breakAt
	firstAt // the first one that is about a value
)

// sampleFile writes the samples of one file.
type sampleFile struct {
	*columnFile
	samples Samples

	volts, amperes values

	rows  int   // in this group
	epoch int   // of its first row
	tick  int64 // of its first row
}

func writeSamples(w io.Writer, s Samples, j Job, columns []column, nodes []parquet.Node, block func(*sampleFile, *series.Source, *series.Block) error) error {
	sheetOf(j)
	nodes = append([]parquet.Node{
		moment(parquet.Nanosecond), repeated(parquet.Int(32)), stepped(parquet.Int(64)), parquet.Leaf(parquet.BooleanType),
	}, nodes...)
	file, err := newColumnFile(w, about{Table: "samples", Job: j, Samples: s}, columns, nodes)
	if err == nil {
		f := &sampleFile{columnFile: file, samples: s}
		err = s.walk(func(source *series.Source, b *series.Block) error { return block(f, source, b) })
	}
	if err == nil {
		err = file.close()
	}
	if err != nil {
		return fmt.Errorf("export parquet: %w", err)
	}
	return nil
}

func (f *sampleFile) arcBlock(source *series.Source, b *series.Block) error {
	if b.Kind != series.Arc && b.Kind != series.Sums || b.Len() == 0 {
		return nil
	}
	volts := f.samples.lineOf(source, series.VoltageChannel, b)
	amperes := f.samples.lineOf(source, series.CurrentChannel, b)
	if b.Kind == series.Sums {
		return f.sums(b, volts, amperes)
	}
	f.volts.use(volts)
	f.amperes.use(amperes)
	for from := 0; from < len(b.V); from += batchRows {
		to := min(from+batchRows, len(b.V))
		f.begin(b, from, to)
		f.codes(firstAt, &f.volts, b.V[from:to])
		f.codes(firstAt+1, &f.amperes, b.I[from:to])
		f.flags(firstAt+2, b.Flag, from, to)
		f.null(firstAt+3, to-from)
		f.null(firstAt+4, to-from)
		if err := f.end(b, to); err != nil {
			return err
		}
	}
	return nil
}

func (f *sampleFile) codes(k int, of *values, codes []int32) {
	for _, code := range codes {
		f.float(k, of.of(code).value)
	}
}

func (f *sampleFile) flags(k int, flags []bool, from, to int) {
	if flags == nil {
		f.null(k, to-from)
		return
	}
	for _, set := range flags[from:to] {
		share := 0.0
		if set {
			share = 1
		}
		f.float(k, share)
	}
}

func (f *sampleFile) sums(b *series.Block, volts, amperes calib.Line) error {
	m, ok := meansOf(b.Sum, volts, amperes)
	if !ok {
		return nil
	}
	n := float64(b.Sum.Count)
	f.begin(b, 0, 1)
	for k, v := range []float64{m.volts, m.amperes, float64(b.Sum.ArcOn) / n, m.watts, n * float64(b.Step) / 1e9} {
		f.float(firstAt+k, v)
	}
	return f.end(b, 1)
}

func (f *sampleFile) slowBlock(source *series.Source, b *series.Block) error {
	for k := range b.Len() {
		v, ok, err := f.samples.slowValue(source, b, k)
		if err != nil || !ok {
			return err
		}
		f.begin(b, k, k+1)
		f.fill(firstAt, 1, parquet.ValueOf(v.channel))
		f.float(firstAt+1, v.value)
		if v.unit == "" {
			f.null(firstAt+2, 1)
		} else {
			f.known(firstAt+2, parquet.ValueOf(v.unit))
		}
		if err := f.end(b, k+1); err != nil {
			return err
		}
	}
	return nil
}

// begin writes when the samples were, and whether they follow those before them.
func (f *sampleFile) begin(b *series.Block, from, to int) {
	if f.rows == 0 {
		f.epoch, f.tick = b.Epoch, b.At(from)
	}
	f.fill(epochAt, to-from, parquet.Int32Value(int32(b.Epoch)))
	for k := from; k < to; k++ {
		tick := b.At(k)
		if t, ok := f.samples.wall(b.Epoch, tick); ok {
			f.known(timeAt, parquet.Int64Value(t.UnixNano()))
		} else {
			f.null(timeAt, 1)
		}
		f.fill(tickAt, 1, parquet.Int64Value(tick))
		f.fill(breakAt, 1, parquet.BooleanValue(b.Break && k == 0))
	}
	f.rows += to - from
}

func (f *sampleFile) float(k int, v float64) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		f.null(k, 1)
		return
	}
	f.known(k, parquet.DoubleValue(v))
}

// end ends the rows up to sample to, and their group where it is full.
func (f *sampleFile) end(b *series.Block, to int) error {
	long := b.Epoch != f.epoch || b.At(to-1)-f.tick >= groupTime
	if f.rows < groupHigh && !(long && f.rows >= groupLow) {
		return f.rowsDone()
	}
	f.rows = 0
	return f.endGroup()
}
