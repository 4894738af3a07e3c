package main

import (
	"context"
	"errors"
	"flag"
	"strconv"

	"arctally/analyze/procedure"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
	"arctally/report/sheet"
)

// openReview reads a record and judges it, by the job that is in it or by
// another one. The caller closes it.
func openReview(ctx context.Context, screen *terminal.Screen, file, jobFile string) (*review.Review, error) {
	bar := screen.Progress("reading " + file)
	defer bar.Clear()
	return review.Judge(ctx, file, jobFile, bar.Show)
}

// reviewFlags are those of every command that judges a record.
type reviewFlags struct {
	job string
	us  *bool // nil was not said
}

func bindReview(flags *flag.FlagSet) *reviewFlags {
	f := new(reviewFlags)
	flags.StringVar(&f.job, "job", "", "judge by this `JOB.yaml` in place of the one in the record")
	return f
}

// bindUnits adds the choice of units for what a person reads.
func (f *reviewFlags) bindUnits(flags *flag.FlagSet) {
	flags.BoolFunc("us", "show US units: in/min, kJ/in, in; left out, those that the job file is written in, and --us=false shows metric ones", func(text string) error {
		us, err := strconv.ParseBool(text)
		f.us = &us
		return err
	})
}

// units are those that were asked for, else those of the job.
func (f *reviewFlags) units(job *procedure.Job) sheet.Units { return f.or(sheet.UnitsOf(job)) }

func (f *reviewFlags) or(units sheet.Units) sheet.Units {
	switch {
	case f.us == nil:
		return units
	case *f.us:
		return sheet.US
	default:
		return sheet.Metric
	}
}

// with opens the record, does the work and closes the record again.
func (f *reviewFlags) with(ctx context.Context, screen *terminal.Screen, file string, work func(*review.Review) error) error {
	r, err := openReview(ctx, screen, file, f.job)
	if err != nil {
		return err
	}
	return errors.Join(work(r), r.Close())
}

// judging is with, for a command whose exit status tells that findings are open.
func (f *reviewFlags) judging(ctx context.Context, screen *terminal.Screen, file string, work func(*review.Review) error) error {
	open := 0
	err := f.with(ctx, screen, file, func(r *review.Review) error {
		open = r.Book.Open()
		return work(r)
	})
	if err == nil && open > 0 {
		return explain.ErrFindingsOpen
	}
	return err
}
