package sensorbox

import (
	"context"
	"io"
	"math"

	"arctally/acquire/link"
	"arctally/acquire/series"
)

// Box is a virtual sensor box with a plan to lay. Every call of Play, Write and
// Each lays the same plan anew, from the first boot.
type Box struct {
	plan Plan
	port port
}

// New returns a box for the plan, or a *PlanError. It opens no port yet.
func New(p Plan) (*Box, error) {
	p = p.withDefaults()
	if err := p.validate(); err != nil {
		return nil, err
	}
	return &Box{plan: p}, nil
}

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

// Each lays the plan and calls yield for every block, without a link: codes and
// channels as Plan.Source says, Epoch and Break filled in. A block is reused
// after yield returns. An error of yield ends it.
func (b *Box) Each(ctx context.Context, yield func(*series.Block) error) (Truth, error) {
	l := &blocks{yield: yield, step: int64(math.Round(1e9 / float64(b.plan.SampleRate)))}
	return newRun(b.plan, l, nil).all(ctx)
}
