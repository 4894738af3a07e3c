package sensorbox

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"github.com/creack/pty"
)

// ErrNoPort is returned by Play before Open.
var ErrNoPort = errors.New("sensor box: no port is open")

// port is the pair of pseudo-terminals. The box keeps the reader's end open as
// well, so that its settings last and what is not yet read can be counted.
type port struct {
	master, slave *os.File
}

// Open opens the pair and returns the name by which a reader opens its end, as
// it would open any serial port. The pair is raw and without echo at once.
func (b *Box) Open() (string, error) {
	if b.port.master != nil {
		panic("sensorbox: Open of a box whose port is open")
	}
	var err error
	if b.port, err = openPort(); err != nil {
		return "", err
	}
	return b.PortName(), nil
}

func openPort() (port, error) {
	master, slave, err := pty.Open()
	if err != nil {
		return port{}, fmt.Errorf("sensor box: open a pseudo-terminal: %w", err)
	}
	polled, err := pollable(master)
	if err = errors.Join(err, master.Close(), makeRaw(slave)); err != nil {
		err = fmt.Errorf("sensor box: set up %s: %w", slave.Name(), err)
		if polled != nil {
			err = errors.Join(err, polled.Close())
		}
		return port{}, errors.Join(err, slave.Close())
	}
	return port{polled, slave}, nil
}

// unblock ends a write that waits for the reader, now and from now on.
func (p port) unblock() {
	// Play has set a deadline on this file before: only a closed one refuses it,
	// and no write waits there.
	_ = p.master.SetWriteDeadline(time.Unix(1, 0))
}

// PortName returns what Open returned; it is empty while no port is open.
func (b *Box) PortName() string {
	if b.port.slave == nil {
		return ""
	}
	return b.port.slave.Name()
}

// Play waits for a reader to open the port, lays the plan and says it there, at
// Plan.PlaySpeed. It waits for the reader rather than lose a byte, and returns
// when the last has been read.
func (b *Box) Play(ctx context.Context) (Truth, error) {
	if b.port.master == nil {
		return Truth{}, ErrNoPort
	}
	if err := b.port.awaitReader(ctx); err != nil {
		return Truth{}, err
	}
	if err := b.port.master.SetWriteDeadline(time.Time{}); err != nil {
		return Truth{}, fmt.Errorf("sensor box: prepare %s: %w", b.PortName(), err)
	}
	stop := context.AfterFunc(ctx, b.port.unblock)
	defer stop()
	p := pacer{ctx: ctx, start: time.Now(), speed: b.plan.PlaySpeed}
	truth, err := b.write(ctx, b.port.master, func(since int64) error {
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
	return truth, b.port.drain(ctx, drainLimit)
}

// Close pulls the plug: the reader sees its port go away. Do not call it while
// Play runs; cancel Play's context first.
func (b *Box) Close() error {
	if b.port.master == nil {
		return nil
	}
	err := b.port.close()
	b.port = port{}
	return err
}

func (p port) close() error { return errors.Join(p.slave.Close(), p.master.Close()) }
