package export

import (
	"fmt"
	"io"
	"time"

	"github.com/influxdata/line-protocol/v2/lineprotocol"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/report/sheet"
)

// LineProtocol writes every sample, then the passes and findings of the sheet,
// where one is given. Time stamps are in nanoseconds; each line has the tag job,
// and epoch and tick_ns as fields beside the values.
func LineProtocol(w io.Writer, s Samples, result *sheet.Sheet) error {
	l := &lines{text: newText(w), samples: s}
	l.enc.SetPrecision(lineprotocol.Nanosecond)
	l.enc.SetBuffer(l.buf)
	if result != nil {
		l.job = result.Job.Name
	}
	err := s.walk(l.block)
	if err == nil && result != nil {
		err = l.results(result)
	}
	if err == nil {
		err = l.flush()
	}
	if err != nil {
		return fmt.Errorf("export line protocol: %w", err)
	}
	return nil
}

// lines writes lines through the encoder, which owns the buffer.
type lines struct {
	*text
	enc     lineprotocol.Encoder
	samples Samples
	job     string

	volts, amperes values
}

// start opens a line; tags must follow in the order of their keys.
func (l *lines) start(measurement string) { l.enc.StartLine(measurement) }

func (l *lines) tag(key, value string) {
	if value != "" {
		l.enc.AddTag(key, value)
	}
}

// float leaves out what is not known.
func (l *lines) float(key string, v float64) {
	if value, ok := lineprotocol.FloatValue(quantity.Clean(v)); ok {
		l.enc.AddField(key, value)
	}
}

func (l *lines) int(key string, v int64) { l.enc.AddField(key, lineprotocol.IntValue(v)) }

func (l *lines) end(t time.Time) error {
	l.enc.EndLine(t)
	if err := l.enc.Err(); err != nil {
		return err
	}
	l.buf = l.enc.Bytes()
	if len(l.buf) < flushAt {
		return nil
	}
	return l.flush()
}

// flush hands on what the encoder holds and gives it the buffer back.
func (l *lines) flush() error {
	l.buf = l.enc.Bytes()
	err := l.text.flush()
	l.enc.SetBuffer(l.buf)
	return err
}

func (l *lines) wall(b *series.Block, k int) (time.Time, error) {
	tick := b.At(k)
	t, ok := l.samples.wall(b.Epoch, tick)
	if !ok {
		return t, fmt.Errorf("sample at epoch %d, tick %d ns: %w", b.Epoch, tick, ErrNoWallTime)
	}
	return t, nil
}

// place ends the line of sample k with where it stands on the source's clock.
func (l *lines) place(b *series.Block, k int, t time.Time) error {
	l.int("epoch", int64(b.Epoch))
	l.int("tick_ns", b.At(k))
	if b.Break && k == 0 {
		l.enc.AddField("break", lineprotocol.BoolValue(true))
	}
	return l.end(t)
}

func (l *lines) block(source *series.Source, b *series.Block) error {
	volts := l.samples.lineOf(source, series.VoltageChannel, b)
	amperes := l.samples.lineOf(source, series.CurrentChannel, b)
	l.volts.use(volts)
	l.amperes.use(amperes)
	for k := range b.Len() {
		t, err := l.wall(b, k)
		if err != nil {
			return err
		}
		switch b.Kind {
		case series.Arc:
			err = l.arc(b, k, t)
		case series.Sums:
			err = l.sums(b, t, volts, amperes)
		case series.Slow:
			err = l.slow(source, b, k, t)
		case series.Turn:
			l.start("turn")
			l.tag("job", l.job)
			l.int("count", b.Count[k])
			err = l.place(b, k, t)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (l *lines) arc(b *series.Block, k int, t time.Time) error {
	l.start("arc")
	l.tag("job", l.job)
	l.float("v", l.volts.of(b.V[k]).value)
	l.float("i", l.amperes.of(b.I[k]).value)
	if b.Flag != nil {
		l.enc.AddField("arc", lineprotocol.BoolValue(b.Flag[k]))
	}
	return l.place(b, k, t)
}

func (l *lines) sums(b *series.Block, t time.Time, volts, amperes calib.Line) error {
	m, ok := meansOf(b.Sum, volts, amperes)
	if !ok {
		return nil
	}
	n := float64(b.Sum.Count)
	l.start("sums")
	l.tag("job", l.job)
	l.float("v", m.volts)
	l.float("i", m.amperes)
	l.float("p", m.watts)
	l.float("arc", float64(b.Sum.ArcOn)/n)
	l.float("window_s", n*float64(b.Step)/1e9)
	return l.place(b, 0, t)
}

func (l *lines) slow(source *series.Source, b *series.Block, k int, t time.Time) error {
	v, _, err := l.samples.slowValue(source, b, k)
	if err != nil {
		return err
	}
	l.start("slow")
	l.tag("channel", v.channel)
	l.tag("job", l.job)
	l.tag("unit", v.unit)
	l.float("value", v.value)
	return l.place(b, k, t)
}
