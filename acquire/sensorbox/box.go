package sensorbox

import (
	"context"
	"errors"
	"io"
	"math"
	"sync/atomic"
	"time"

	"arctally/acquire/link"
	"arctally/acquire/series"
)

// Box is a virtual sensor box with a plan to lay. Every call of Play, Write and
// Each lays the same plan anew, from the first boot.
type Box struct {
	plan   Plan
	line   Line         // nil while no port is open
	played atomic.Int64 // ns on its clock, of what Play has laid
	beside *Box         // it does not run ahead of this one; nil is none
}

// New returns a box for the plan, or a *PlanError. It opens no port yet.
func New(p Plan) (*Box, error) {
	p = p.withDefaults()
	if err := p.validate(); err != nil {
		return nil, err
	}
	return &Box{plan: p}, nil
}

// Played is how much of its plan Play has laid, on the clock of the box since its first boot.
func (b *Box) Played() time.Duration { return time.Duration(b.played.Load()) }

// GoBeside has Play never run ahead of that of another box that shares a plan: where the
// machine does not hold the speed, both fall behind together.
func (b *Box) GoBeside(other *Box) { b.beside = other }

// Plan returns the plan with its defaults filled in.
func (b *Box) Plan() Plan { return b.plan }

// Write lays the plan and writes what the box says to w, as fast as w takes it.
func (b *Box) Write(ctx context.Context, w io.Writer) (Truth, error) {
	return b.write(ctx, w, nil)
}

func (b *Box) write(ctx context.Context, w io.Writer, pace func(since int64) error) (Truth, error) {
	p := b.plan
	window := int(math.Round(windowTime * float64(p.SampleRate)))
	stepNs := int64(math.Round(1e9 / float64(p.SampleRate)))
	if p.Link == LinkModbus {
		return b.writeRegisters(ctx, w, stepNs, pace)
	}
	if p.Link == link.Delimited || p.Link == link.LineProtocol || p.Link == link.Columns {
		l := &lines{w: w, write: lineWriter(p.Link), window: window, stepNs: stepNs, seed: p.Seed}
		truth, err := newRun(p, l, pace).all(ctx)
		truth.Frames = l.written
		return truth, err
	}
	f := &frames{w: w, source: p.Source(), seed: p.Seed, part: p.Part, stepUS: uint16(stepNs / 1000)}
	if p.Link == LinkSums {
		f.window = window
	}
	truth, err := newRun(p, f, pace).all(ctx)
	truth.Frames = f.written
	return truth, err
}

// slaveLine is what a slave needs: it hears, and stops hearing.
type slaveLine interface {
	io.ReadWriter
	SetReadDeadline(time.Time) error
}

// ErrNotAsked is returned by Write of a box that only answers.
var ErrNotAsked = errors.New("sensor box: a Modbus slave says nothing by itself: use Play")

// writeRegisters lays the plan while a slave answers for it.
func (b *Box) writeRegisters(ctx context.Context, w io.Writer, stepNs int64, pace func(since int64) error) (truth Truth, err error) {
	line, ok := w.(slaveLine)
	if !ok || pace == nil {
		return truth, ErrNotAsked
	}
	r := &registers{seed: b.plan.Seed, stepNs: stepNs}
	err = r.serve(ctx, line, func() (err error) {
		truth, err = newRun(b.plan, r, pace).all(ctx)
		return err
	})
	truth.Frames = r.written
	return truth, err
}

// Each lays the plan and calls yield for every block, without a link: codes and
// channels as Plan.Source says, Epoch and Break filled in. A block is reused
// after yield returns. An error of yield ends it.
func (b *Box) Each(ctx context.Context, yield func(*series.Block) error) (Truth, error) {
	l := &blocks{yield: yield, step: int64(math.Round(1e9 / float64(b.plan.SampleRate)))}
	return newRun(b.plan, l, nil).all(ctx)
}
