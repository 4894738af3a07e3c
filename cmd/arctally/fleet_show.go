package main

import (
	"context"
	"errors"
	"io"
	"net/url"
	"time"

	"arctally/cmd/internal/files"
	"arctally/cmd/internal/terminal"
	"arctally/report/fleet"
	"arctally/report/fleet/onepage"
)

// newsFor is how far back the picture tells what was taken in.
const newsFor = 30 * 24 * time.Hour

func (f *fleetFlags) show(ctx context.Context, screen *terminal.Screen, operands []string) error {
	switch at, err := url.Parse(f.at); {
	case len(operands) > 0:
		return fleetMisuse("show takes no operand, but got %s", count(operands))
	case f.output == "":
		return fleetMisuse("show writes one page: name it with -o all-jobs.html")
	case f.at != "" && (err != nil || at.Host == "" || at.Scheme != "https" && at.Scheme != "http"):
		return fleetMisuse("--at is the address of a serve, https://HOST:PORT/, not %q", f.at)
	}
	side, err := f.side()
	if err != nil {
		return err
	}
	on, err := f.today()
	if err != nil {
		return err
	}
	var answers onepage.Answers
	if err := f.with(ctx, func(of *fleet.Fleet) (err error) {
		answers, err = f.picture(ctx, of, side, on)
		return err
	}); err != nil {
		return err
	}
	if err := files.Write(f.output, func(w io.Writer) error { return onepage.Write(w, answers) }); err != nil {
		return err
	}
	return screen.Printf("wrote %s\n", f.output)
}

// picture asks all of the questions.
func (f *fleetFlags) picture(ctx context.Context, of *fleet.Fleet, side fleet.Side, on time.Time) (a onepage.Answers, err error) {
	a.At = f.at
	ask := func(question func() error) {
		if err == nil {
			err = question()
		}
	}
	ask(func() (err error) { a.HeatInput, err = of.Charts(ctx, fleet.HeatInput, side, f.most); return err })
	ask(func() (err error) { a.ArcOn, err = of.Charts(ctx, fleet.ArcOn, side, f.most); return err })
	ask(func() (err error) { a.Proved, err = of.Proved(ctx, f.most); return err })
	ask(func() (err error) { a.Open, err = of.Open(ctx, f.most); return err })
	ask(func() (err error) { a.Due, err = of.Calibrations(ctx, on, f.within, f.most); return err })
	ask(func() (err error) { a.Changes, err = of.Since(ctx, on.Add(-newsFor), f.most); return err })
	return a, err
}

// with opens the fleet for questions, and closes it again.
func (f *fleetFlags) with(ctx context.Context, work func(*fleet.Fleet) error) error {
	if f.most < 1 {
		return fleetMisuse("--most is 1 at least")
	}
	if f.within < 0 {
		return fleetMisuse("--within is 0 days at least")
	}
	place, err := f.place()
	if err != nil {
		return err
	}
	of, err := fleet.Ask(ctx, place)
	if err != nil {
		return err
	}
	return errors.Join(work(of), of.Close())
}

// today is the day that calibrations are asked for.
func (f *fleetFlags) today() (time.Time, error) {
	if f.now == "" {
		return time.Now(), nil
	}
	return momentOf(f.now)
}
