package main

import (
	"context"
	"encoding/json"
	"errors"
	"io"

	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/terminal"
	"arctally/report/fleet"
	"arctally/report/text"
)

// answer is what a question came to: how a person sees it, and how the command ends.
type answer struct {
	value any
	write func(io.Writer) error
	look  error // nil where nobody has to
}

// question asks one of a fleet; operands are what stood behind its name.
type question func(ctx context.Context, f *fleetFlags, of *fleet.Fleet, operands []string) (answer, error)

var questions = map[string]question{
	"heat-input": charts(fleet.HeatInput), "arc-on": charts(fleet.ArcOn), "proved": proved, "open": openEvents, "calibrations": calibrations, "since": since,
}

func (f *fleetFlags) ask(ctx context.Context, screen *terminal.Screen, operands []string) error {
	if len(operands) == 0 || questions[operands[0]] == nil {
		return fleetMisuse("ask takes one QUESTION: heat-input, arc-on, proved, open, calibrations or since TIME")
	}
	if want := map[bool]int{true: 2, false: 1}[operands[0] == "since"]; len(operands) != want {
		return fleetMisuse("ask since takes a TIME, and no other question takes one")
	}
	var a answer
	if err := f.with(ctx, func(of *fleet.Fleet) (err error) {
		a, err = questions[operands[0]](ctx, f, of, operands[1:])
		return err
	}); err != nil {
		return err
	}
	return errors.Join(f.tell(screen, a), a.look)
}

func (f *fleetFlags) tell(screen *terminal.Screen, a answer) error {
	if !f.asJSON {
		return a.write(screen.Out)
	}
	e := json.NewEncoder(screen.Out)
	e.SetIndent("", "  ")
	return e.Encode(a.value)
}

func charts(measure fleet.Measure) question {
	return func(ctx context.Context, f *fleetFlags, of *fleet.Fleet, _ []string) (a answer, err error) {
		side, err := f.side()
		if err != nil {
			return a, err
		}
		c, err := of.Charts(ctx, measure, side, f.most)
		return answer{value: c, write: func(w io.Writer) error { return text.FleetCharts(w, c) }}, err
	}
}

func proved(ctx context.Context, f *fleetFlags, of *fleet.Fleet, _ []string) (a answer, err error) {
	p, err := of.Proved(ctx, f.most)
	if err == nil && p.Proved < p.Passes {
		a.look = explain.ErrNotProved
	}
	a.value, a.write = p, func(w io.Writer) error { return text.FleetProved(w, p) }
	return a, err
}

func openEvents(ctx context.Context, f *fleetFlags, of *fleet.Fleet, _ []string) (a answer, err error) {
	o, err := of.Open(ctx, f.most)
	if err == nil && o.InAll > 0 {
		a.look = explain.ErrFindingsOpen
	}
	a.value, a.write = o, func(w io.Writer) error { return text.FleetOpen(w, o) }
	return a, err
}

func calibrations(ctx context.Context, f *fleetFlags, of *fleet.Fleet, _ []string) (a answer, err error) {
	on, err := f.today()
	if err != nil {
		return a, err
	}
	d, err := of.Calibrations(ctx, on, f.within, f.most)
	if err == nil && d.Overdue > 0 {
		a.look = explain.ErrRunOut
	}
	a.value, a.write = d, func(w io.Writer) error { return text.FleetDue(w, d) }
	return a, err
}

func since(ctx context.Context, f *fleetFlags, of *fleet.Fleet, operands []string) (a answer, err error) {
	at, err := momentOf(operands[0])
	if err != nil {
		return a, err
	}
	c, err := of.Since(ctx, at, f.most)
	return answer{value: c, write: func(w io.Writer) error { return text.FleetChanges(w, c) }}, err
}
