package modbus

import (
	"bytes"
	"context"
	"errors"
	"io"
	"time"

	"arctally/acquire"
	"arctally/acquire/series"
)

const (
	// quiet is for how long nothing must come before a line is at rest: an adapter may
	// hold back bytes for 16 ms, and a slave's answer may be late. (engineering notes,
	// "Modbus": 60 ms at least)
	quiet = 60 * time.Millisecond
	// longQuiet is that of a line on which several requests take turns, so that a late
	// answer could be taken for that to another one. Ours, no source.
	longQuiet = 200 * time.Millisecond
	// longestDrain is how long a line is waited for to be at rest. Ours, no source.
	longestDrain = time.Second
	// patience is how long a slave may think before it answers. Ours; common practice,
	// no source.
	patience = 300 * time.Millisecond
	// frameGap is the least silence between two frames from 19200 baud up; below it is
	// 3.5 characters (Modbus over serial line V1.02, 2.5.1.1).
	frameGap   = 1750 * time.Microsecond
	frameChars = 3.5
	fastBaud   = 19200
	// bitsPerByte are those of a character on the line: start, 8 of data, parity or
	// stop, stop.
	bitsPerByte = 11
	// glitch is how many bytes may come that nobody sent, where a pair of wires changes
	// its direction. Ours, no source.
	glitch = 3
	// mostPending is how many pieces may have been read before they are looked at.
	mostPending = 64
	emptyReads  = 100 // in a row that are a broken reader
)

var (
	errAway = errors.New("modbus: the line is away")
	errEnd  = errors.New("modbus: the line has ended")
)

// piece is what one read of the line brought, or what happened to it.
type piece struct {
	bytes []byte
	at    time.Time
	event *series.Event
	err   error
}

// line is a pair of wires on which one request is under way at a time.
type line struct {
	wire io.ReadWriter
	now  func() time.Time
	baud int
	echo bool // it sends back what was sent
	// settling is for how long nothing may come after an unanswered request.
	settling time.Duration
	tell     func(series.Event)

	in        chan piece
	unread    chan struct{} // closed when nobody reads the line any more
	timer     *time.Timer
	used      time.Time // when something was last sent or came
	unsettled bool      // an answer may still come to a request that was given up
	watched   bool      // it goes away and comes back
	away      bool
	failed    error // the line itself
	frame     []byte
	got       []byte
	newest    time.Time // arrival of the end of got
}

// newLine begins to read the line. Reading ends with the line, or with ctx once the
// read that is under way returns.
func newLine(ctx context.Context, wire io.ReadWriter, c Config, settling time.Duration, tell func(series.Event)) *line {
	l := &line{
		wire: wire, now: c.Now, baud: c.Baud, echo: c.Slave.Echo, settling: settling, tell: tell,
		in: make(chan piece, mostPending), unread: make(chan struct{}), timer: time.NewTimer(0),
	}
	if w, ok := wire.(acquire.Watched); ok {
		l.watched = true
		w.Watch(func(e series.Event) { l.pass(ctx, piece{event: &e}) })
	}
	go l.read(ctx)
	return l
}

func (l *line) read(ctx context.Context) {
	defer close(l.unread)
	buf := make([]byte, 2*longestFrame)
	for empty := 0; ctx.Err() == nil; empty++ {
		n, err := l.wire.Read(buf)
		switch {
		case n > 0:
			empty = 0
		case err == nil && empty >= emptyReads:
			err = io.ErrNoProgress
		case err == nil:
			continue
		}
		if !l.pass(ctx, piece{bytes: bytes.Clone(buf[:n]), at: l.now(), err: err}) || err != nil {
			return
		}
	}
}

func (l *line) pass(ctx context.Context, p piece) bool {
	select {
	case l.in <- p:
		return true
	case <-ctx.Done():
		return false
	}
}

// take adds a piece to what came.
func (l *line) take(p piece) error {
	if p.event != nil {
		l.away = p.event.Kind == series.Unplugged
		l.got = l.got[:0]
		l.tell(*p.event)
	}
	if len(p.bytes) > 0 {
		l.got = append(l.got, p.bytes...)
		l.newest, l.used = p.at, time.Now()
	}
	switch {
	case p.err == io.EOF:
		return errEnd
	case p.err != nil:
		l.failed = p.err
		return errEnd
	case l.away:
		return errAway
	}
	return nil
}

// wait takes the next piece; more is false where none came in time.
func (l *line) wait(ctx context.Context, limit time.Duration) (more bool, err error) {
	l.timer.Reset(limit)
	select {
	case p := <-l.in:
		return true, l.take(p)
	case <-l.timer.C:
		return false, nil
	case <-ctx.Done():
		return false, errEnd
	}
}

// back waits until a line that went away is there again.
func (l *line) back(ctx context.Context) error {
	for l.away {
		select {
		case p := <-l.in:
			if err := l.take(p); err != nil && err != errAway {
				return err
			}
		case <-ctx.Done():
			return errEnd
		}
	}
	l.unsettled = true
	return nil
}

// strays takes what came while nobody asked, and returns how many bytes.
func (l *line) strays() (n int, err error) {
	for {
		select {
		case p := <-l.in:
			if err := l.take(p); err != nil {
				return 0, err
			}
			continue
		default:
		}
		n, l.got = len(l.got), l.got[:0]
		return n, nil
	}
}

// rest waits until the line has been quiet.
func (l *line) rest(ctx context.Context) error {
	for begun := time.Now(); time.Since(begun) < longestDrain; {
		more, err := l.wait(ctx, l.settling)
		if err != nil || !more {
			return err
		}
	}
	return nil
}

// exchange is a request and what came of it.
type exchange struct {
	answer
	asked, answered time.Time
	late            bool // something came before it that nobody asked for any more
	bytes           int
}

// ask sends a request and waits for its answer. The error is an *Error for what came of
// it, or else says that the line is away or has ended.
func (l *line) ask(ctx context.Context, r Request) (x exchange, err error) {
	stray, err := l.strays()
	if err != nil {
		return x, err
	}
	if x.late = stray > glitch; x.late {
		l.unsettled = true
	}
	if err := l.prepare(ctx); err != nil {
		return x, err
	}
	l.frame = r.Append(l.frame[:0])
	x.asked = l.now()
	if err := l.send(); err != nil {
		return x, err
	}
	x.answer, err = l.hear(ctx, r)
	x.registers = bytes.Clone(x.registers) // the next answer overwrites what came
	x.answered, x.bytes = l.newest, len(l.got)
	l.got = l.got[:0]
	return x, err
}

// prepare leaves the silence before a request that the line needs.
func (l *line) prepare(ctx context.Context) error {
	if l.unsettled {
		err := l.rest(ctx)
		l.got = l.got[:0]
		return err
	}
	gap := frameGap
	if l.baud < fastBaud {
		gap = time.Duration(frameChars * float64(l.onWire(1)))
	}
	if left := gap - time.Since(l.used); left > 0 {
		time.Sleep(left)
	}
	return nil
}

// onWire is how long so many bytes take.
func (l *line) onWire(n int) time.Duration {
	return time.Duration(n*bitsPerByte) * time.Second / time.Duration(l.baud)
}

// send sends the request. Where that fails, a line that is watched has gone away, or has
// ended: its reader tells which.
func (l *line) send() error {
	_, err := l.wire.Write(l.frame)
	l.used = time.Now()
	if err == nil {
		return nil
	}
	if l.away = l.watched; l.away {
		return errAway
	}
	l.failed = err
	return errEnd
}

// hear waits for the answer. After an unanswered request it counts only if it is
// followed by quiet.
func (l *line) hear(ctx context.Context, r Request) (answer, error) {
	deadline := time.Now().Add(patience + l.onWire(requestSize+r.answerSize()))
	for {
		limit := time.Until(deadline)
		if len(l.got) > l.echoed() {
			limit = min(limit, quiet)
		}
		more, err := l.wait(ctx, limit)
		if err != nil {
			return answer{}, err
		}
		if a, end, ok := r.find(l.got); ok {
			return a, l.confirm(ctx, r, end)
		}
		if !more || len(l.got) > 4*longestFrame {
			return answer{}, l.nothing(r)
		}
	}
}

// echoed returns how many bytes of what came are the request itself, or its beginning.
func (l *line) echoed() int {
	n := min(len(l.got), len(l.frame))
	if !bytes.Equal(l.got[:n], l.frame[:n]) {
		return 0
	}
	return n
}

// confirm says what is against an answer that ends at a place of what came.
func (l *line) confirm(ctx context.Context, r Request, end int) error {
	heard := l.newest
	if l.unsettled {
		if err := l.rest(ctx); err != nil {
			return err
		}
	}
	if len(l.got)-end > glitch {
		l.unsettled = true
		return &Error{Kind: Twice, Request: r}
	}
	l.newest, l.unsettled = heard, false
	return nil
}

// nothing says what came in place of an answer.
func (l *line) nothing(r Request) error {
	if len(l.got) > l.echoed() {
		return &Error{Kind: Damaged, Request: r}
	}
	l.unsettled = true
	if l.echo && l.echoed() < len(l.frame) {
		return &Error{Kind: NoEcho, Request: r}
	}
	return &Error{Kind: Silent, Request: r}
}
