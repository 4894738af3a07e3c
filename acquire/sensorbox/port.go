package sensorbox

import (
	"context"
	"errors"
	"fmt"
	"time"
)

// ErrNoPort is returned by Play before Open.
var ErrNoPort = errors.New("sensor box: no port is open")

// Open opens a line and returns the name by which a reader opens its end, as it would
// open any serial port: a pair of pseudo-terminals, raw and without echo at once, or where
// the system has none a line inside this program.
func (b *Box) Open() (string, error) {
	line, err := openLine()
	if err != nil {
		return "", err
	}
	return b.OpenOn(line), nil
}

// OpenOn has the box speak on a line, and returns its name.
func (b *Box) OpenOn(line Line) string {
	if b.line != nil {
		panic("sensorbox: Open of a box whose port is open")
	}
	b.line = line
	return line.Name()
}

// unblock ends a write that waits for the reader of a line, now and from now on.
func unblock(line Line) {
	// Play has set a deadline on this line before: only a closed one refuses it,
	// and no write waits there.
	_ = line.SetWriteDeadline(time.Unix(1, 0))
}

// PortName returns what Open returned; it is empty while no port is open.
func (b *Box) PortName() string {
	if b.line == nil {
		return ""
	}
	return b.line.Name()
}

// Play waits for a reader to open the port, lays the plan and says it there, at
// Plan.PlaySpeed. It waits for the reader rather than lose a byte, and returns
// when the last has been read.
func (b *Box) Play(ctx context.Context) (Truth, error) {
	line := b.line // that of the box is gone as soon as it is closed
	if line == nil {
		return Truth{}, ErrNoPort
	}
	if err := line.AwaitReader(ctx); err != nil {
		return Truth{}, err
	}
	if err := line.SetWriteDeadline(time.Time{}); err != nil {
		return Truth{}, fmt.Errorf("sensor box: prepare %s: %w", b.PortName(), err)
	}
	stop := context.AfterFunc(ctx, func() { unblock(line) })
	defer stop()
	p := pacer{ctx: ctx, start: time.Now(), speed: b.plan.PlaySpeed}
	truth, err := b.write(ctx, line, func(since int64) error {
		for b.beside != nil && b.beside.played.Load() < since {
			if err := wait(ctx, leastWait); err != nil {
				return err
			}
		}
		b.played.Store(since)
		return p.pace(since)
	})
	if ctx.Err() != nil {
		return truth, ctx.Err()
	}
	if err != nil {
		return truth, fmt.Errorf("sensor box: write to %s: %w", b.PortName(), err)
	}
	return truth, drain(ctx, line, drainLimit)
}

// Close pulls the plug: the reader sees its port go away. Do not call it while
// Play runs; cancel Play's context first.
func (b *Box) Close() error {
	if b.line == nil {
		return nil
	}
	err := b.line.Close()
	b.line = nil
	return err
}
