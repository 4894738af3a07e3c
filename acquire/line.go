package acquire

import (
	"context"
	"io"
	"time"

	"arctally/acquire/link"
	"arctally/acquire/series"
)

// line is the Talker of a box that is read from a line.
type line struct {
	reader   io.Reader
	decoder  link.Decoder
	arriving link.Arriving // the decoder, where its link has no ticks
	link     string
	now      func() time.Time
	ping     *pinger // nil where the box is not asked
	bytes    int64
	empty    int // reads in a row that brought nothing
}

// NewLine returns the box that speaks a link on a line; now is the host clock, nil
// is time.Now. The error names the links that there are.
func NewLine(r io.Reader, name string, now func() time.Time) (Box, error) {
	decoder, err := link.New(name)
	if err != nil {
		return Box{}, err
	}
	if now == nil {
		now = time.Now
	}
	return Box{Talker: &line{reader: r, decoder: decoder, link: name, now: now}, Source: link.DefaultSource(name)}, nil
}

// NewSpeaker returns the box that speaks a link on a line, which is a plain meter where
// there is a layout of its columns.
func NewSpeaker(r io.Reader, name string, columns *series.Layout, now func() time.Time) (Box, error) {
	if columns != nil {
		return NewMeter(r, *columns, now), nil
	}
	return NewLine(r, name, now)
}

// NewMeter returns the plain meter that sends lines of columns.
func NewMeter(r io.Reader, layout series.Layout, now func() time.Time) Box {
	if now == nil {
		now = time.Now
	}
	decoder := link.NewColumns(layout)
	return Box{
		Talker: &line{reader: r, decoder: decoder, arriving: decoder, link: link.Columns, now: now},
		Source: link.ColumnsSource(layout),
	}
}

// Talk implements Talker. The end of the line is a normal end.
func (l *line) Talk(ctx context.Context, to Listener) error {
	if w, ok := l.reader.(Watched); ok {
		w.Watch(func(e series.Event) { l.lineEvent(e, to) })
	}
	if l.ping != nil {
		asking, stop := context.WithCancel(ctx)
		defer stop()
		beat := time.NewTicker(askEvery)
		defer beat.Stop()
		go l.ping.run(asking, beat.C)
	}
	buf := make([]byte, readSize)
	var arrival time.Time
	heard := func(reading *link.Reading, damage error) { l.hear(to, arrival, reading, damage) }
	for ctx.Err() == nil {
		n, err := l.reader.Read(buf)
		if l.empty++; n > 0 || err != nil {
			l.empty = 0
		}
		if n > 0 {
			arrival = l.now()
			l.bytes += int64(n)
			if l.arriving != nil {
				l.arriving.Arrive(arrival)
			}
			l.decoder.Decode(buf[:n], heard)
			to.Through(arrival, n)
		}
		switch {
		case err == io.EOF:
			return nil
		case err != nil && ctx.Err() == nil:
			return l.failed(err)
		case l.empty == emptyReads:
			return l.failed(io.ErrNoProgress)
		}
	}
	return nil
}

// asks has the box asked for its clock, where it can be: only the binary link has words
// for it.
func (l *line) asks() {
	if l.link == link.Binary {
		l.ping = newPinger(l.reader, l.now)
	}
}

// hear hands on what the box said. A question of ours that the line sends back is none
// of it.
func (l *line) hear(to Listener, arrival time.Time, reading *link.Reading, damage error) {
	if damage == nil {
		if reading.Ping != nil {
			return
		}
		if l.ping != nil {
			l.ping.hear(reading)
		}
	}
	to.Heard(arrival, reading, damage)
}

// lineEvent hands on that the line went or came: whatever is on it then may hear.
func (l *line) lineEvent(e series.Event, to Listener) {
	if l.ping != nil {
		l.ping.anew()
	}
	if l.arriving != nil {
		l.arriving.Interrupt()
	}
	to.Line(e)
}

func (l *line) failed(cause error) *Error {
	return &Error{Kind: ReadFailed, Link: l.link, Bytes: l.bytes, Err: cause}
}
