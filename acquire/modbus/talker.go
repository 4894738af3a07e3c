package modbus

import (
	"context"
	"errors"
	"io"
	"time"

	"arctally/acquire"
	"arctally/acquire/link"
	"arctally/acquire/series"
)

// Talker polls one slave, as fast as its line allows.
type Talker struct {
	wire    io.ReadWriter
	config  Config
	mapping mapping
}

// mapping is a map of registers, and what is known of the polls before.
type mapping interface {
	description() series.Source
	// settling is for how long nothing may come after a request that was not answered.
	settling() time.Duration
	// poll reads the map once, and hands on what comes of it.
	poll(ask asker, to acquire.Listener) error
	// finish hands on what waits for the next poll.
	finish(to acquire.Listener)
}

// asker carries out one exchange.
type asker func(Request) (exchange, error)

// errAgain says that the map is read anew, in another way.
var errAgain = errors.New("modbus: read in another way")

// New returns what polls a slave on a line, as a *port.Port is one. If the line is
// acquire.Watched, it goes on when it comes back.
func New(wire io.ReadWriter, c Config) *Talker {
	c = c.withDefaults()
	t := &Talker{wire: wire, config: c}
	t.restart()
	return t
}

func (t *Talker) restart() {
	if len(t.config.Slave.Registers) > 0 {
		t.mapping = newFreeMap(t.config)
	} else {
		t.mapping = newBlockMap(t.config)
	}
}

// NewBox returns the box that is such a slave.
func NewBox(wire io.ReadWriter, c Config) acquire.Box {
	t := New(wire, c)
	return acquire.Box{Talker: t, Source: t.mapping.description()}
}

// mostRefusals is how many polls in a row may be refused for good before any was
// answered. Ours, no source.
const mostRefusals = 5

// Talk implements acquire.Talker. Its goroutine that reads the line ends once the line
// does.
func (t *Talker) Talk(ctx context.Context, to acquire.Listener) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	t.restart()
	l := newLine(ctx, t.wire, t.config, t.mapping.settling(), to.Line)
	defer l.timer.Stop()
	refusals, heard := 0, false
	for {
		err := t.poll(ctx, l, to)
		var damage *Error
		switch {
		case err == nil:
			heard = true
		case err == errAway:
			if l.back(ctx) != nil {
				return t.end(l, to)
			}
		case !errors.As(err, &damage):
			return t.end(l, to)
		case damage.Kind == Refused && damage.Exception.lasting() && !heard:
			if refusals++; refusals == mostRefusals {
				return damage
			}
		}
	}
}

// end hands on what waits, and returns what ended the line.
func (t *Talker) end(l *line, to acquire.Listener) error {
	t.mapping.finish(to)
	if l.failed != nil {
		return &acquire.Error{Kind: acquire.ReadFailed, Link: link.Modbus, Err: l.failed}
	}
	return nil
}

// poll reads the map once, and tells what came of it.
func (t *Talker) poll(ctx context.Context, l *line, to acquire.Listener) error {
	var newest time.Time
	bytes := 0
	err := t.mapping.poll(func(r Request) (exchange, error) {
		x, err := l.ask(ctx, r)
		if bytes += x.bytes; x.bytes > 0 {
			newest = x.answered
		}
		var damage *Error
		if err == nil && x.registers == nil {
			err = &Error{Kind: Refused, Request: r, Exception: x.exception}
		} else if errors.As(err, &damage) {
			newest = t.config.Now()
		}
		return x, err
	}, to)
	var damage *Error
	if errors.As(err, &damage) {
		to.Heard(newest, nil, damage)
	}
	if err == errAgain {
		err = nil
	}
	if bytes > 0 {
		to.Through(newest, bytes)
	}
	return err
}
