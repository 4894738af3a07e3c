package sensorbox

import (
	"io"

	"arctally/acquire/link"
	"arctally/acquire/series"
)

// lines writes what the box says as lines of a text link: means only, no turn
// pulses, no slow channels but the wire speed.
type lines struct {
	w      io.Writer
	write  func(dst []byte, l link.Line) []byte
	window int // samples to a line
	stepNs int64

	seed    uint64
	id      uint16
	seq     uint32
	lost    bool
	written int
	buf     []byte

	count int
	v, i  float64 // sums of codes
	fed   float64 // at the last line
}

func lineWriter(name string) func([]byte, link.Line) []byte {
	switch name {
	case link.Delimited:
		return link.AppendDelimited
	case link.Columns:
		return link.AppendColumns
	}
	return func(dst []byte, l link.Line) []byte { return link.AppendLineProtocol(dst, "box1", l) }
}

// Layout says which column of the lines that a box writes as a plain meter is what.
func Layout() series.Layout {
	return series.Layout{Separator: ',', Point: '.', Columns: []series.Column{
		{Channel: "voltage", Number: 1, Factor: 1},
		{Channel: "current", Number: 2, Factor: 1},
		{Channel: "wire_speed", Number: 3, Factor: 1. / 60},
	}}
}

func (l *lines) boot(epoch int, fed float64) error {
	l.id, l.seq, l.count, l.v, l.i, l.fed = bootID(l.seed, epoch), 0, 0, 0, 0, fed
	return nil
}

func (l *lines) lose(lost bool) { l.lost = lost }

func (l *lines) hello(int64) error { return nil }

func (l *lines) slow(int64, uint8, float64) error { return nil }

func (l *lines) turns(_, _ []int64, _ bool) error { return nil }

func (l *lines) samples(tick int64, v, i []int16, fed float64) error {
	for k := range v {
		l.v += float64(v[k])
		l.i += float64(i[k])
	}
	if l.count += len(v); l.count < l.window {
		return nil
	}
	n := float64(l.count)
	seconds := n * float64(l.stepNs) / 1e9
	line := link.Line{
		Boot: l.id, Seq: l.seq, TickUS: uint64(tick+int64(len(v))*l.stepNs) / 1000,
		Voltage:   link.Mean{Value: l.v / n * voltageScale, Known: true},
		Current:   link.Mean{Value: l.i / n * currentScale, Known: true},
		WireSpeed: link.Mean{Value: (fed - l.fed) / seconds, Known: true},
	}
	l.buf = l.write(l.buf[:0], line)
	l.seq++
	l.count, l.v, l.i, l.fed = 0, 0, 0, fed
	if l.lost {
		return nil
	}
	l.written++
	_, err := l.w.Write(l.buf)
	return err
}
