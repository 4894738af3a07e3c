package export

import (
	"fmt"
	"io"
	"strconv"

	"arctally/acquire/series"
)

// CSV writes every voltage and current, a row each. The column arc is the arc
// flag of the source, empty where it has none. A window of sums has its means,
// the share of its samples in arc, the true mean power and its length; a sample
// leaves the last two empty.
func CSV(w io.Writer, s Samples) error {
	return writeRows(w, s, headOf(arcColumns), (*rows).arcBlock)
}

// SlowCSV writes every value of the other channels and every count of the turn
// encoder, a row each.
func SlowCSV(w io.Writer, s Samples) error {
	return writeRows(w, s, headOf(slowColumns), (*rows).slowBlock)
}

func writeRows(w io.Writer, s Samples, head string, block func(*rows, *series.Source, *series.Block) error) error {
	r := &rows{text: newText(w), samples: s}
	r.buf = append(r.buf, head...)
	err := s.walk(func(source *series.Source, b *series.Block) error { return block(r, source, b) })
	if err == nil {
		err = r.flush()
	}
	if err != nil {
		return fmt.Errorf("export csv: %w", err)
	}
	return nil
}

// rows writes the rows of one file.
type rows struct {
	*text
	samples        Samples
	stamp          stamp
	volts, amperes values
}

func (r *rows) arcBlock(source *series.Source, b *series.Block) error {
	switch b.Kind {
	case series.Arc:
		return r.arc(source, b)
	case series.Sums:
		return r.sums(source, b)
	default:
		return nil
	}
}

func (r *rows) arc(source *series.Source, b *series.Block) error {
	r.volts.use(r.samples.lineOf(source, series.VoltageChannel, b))
	r.amperes.use(r.samples.lineOf(source, series.CurrentChannel, b))
	for k, code := range b.V {
		dst := r.begin(b, k)
		dst = append(r.volts.append(dst, code), ',')
		dst = append(r.amperes.append(dst, b.I[k]), ',')
		if b.Flag != nil {
			dst = append(dst, bit(b.Flag[k]))
		}
		r.buf = append(dst, ",,\n"...)
		if err := r.rowDone(); err != nil {
			return err
		}
	}
	return nil
}

func (r *rows) sums(source *series.Source, b *series.Block) error {
	m, ok := meansOf(b.Sum, r.samples.lineOf(source, series.VoltageChannel, b),
		r.samples.lineOf(source, series.CurrentChannel, b))
	if !ok {
		return nil
	}
	n := float64(b.Sum.Count)
	dst := r.begin(b, 0)
	for _, v := range []float64{m.volts, m.amperes, float64(b.Sum.ArcOn) / n, m.watts} {
		dst = append(appendFloat(dst, v), ',')
	}
	r.buf = append(appendSeconds(dst, int64(b.Sum.Count)*b.Step), '\n')
	return r.rowDone()
}

func (r *rows) slowBlock(source *series.Source, b *series.Block) error {
	for k := range b.Len() {
		v, ok, err := r.samples.slowValue(source, b, k)
		if err != nil || !ok {
			return err
		}
		dst := append(appendCell(r.begin(b, k), plainCell(v.channel)), ',')
		dst = append(appendFloat(dst, v.value), ',')
		r.buf = append(appendCell(dst, plainCell(v.unit)), '\n')
		if err := r.rowDone(); err != nil {
			return err
		}
	}
	return nil
}

// begin writes when sample k was, and whether it follows the one before it.
func (r *rows) begin(b *series.Block, k int) []byte {
	tick, dst := b.At(k), r.buf
	if t, ok := r.samples.wall(b.Epoch, tick); ok {
		dst = r.stamp.append(dst, t)
	} else {
		dst = appendSeconds(dst, tick)
	}
	dst = strconv.AppendInt(append(dst, ','), int64(b.Epoch), 10)
	dst = strconv.AppendInt(append(dst, ','), tick, 10)
	return append(dst, ',', bit(b.Break && k == 0), ',')
}

func bit(set bool) byte {
	if set {
		return '1'
	}
	return '0'
}

// appendCell quotes a name that would break its row.
func appendCell(dst []byte, cell string) []byte {
	for k := range len(cell) {
		switch cell[k] {
		case ',', '"', '\n', '\r':
			return appendQuoted(dst, cell)
		}
	}
	return append(dst, cell...)
}

func appendQuoted(dst []byte, cell string) []byte {
	dst = append(dst, '"')
	for k := range len(cell) {
		if cell[k] == '"' {
			dst = append(dst, '"')
		}
		dst = append(dst, cell[k])
	}
	return append(dst, '"')
}
