package main

import (
	"context"
	"errors"
	"flag"
	"io"
	"path/filepath"
	"strconv"

	"arctally/acquire/quantity"
	"arctally/analyze/compare"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
	"arctally/report/paper"
	"arctally/report/sheet"
	"arctally/report/text"
)

func compareCommand() command {
	return command{
		name:     "compare",
		operands: "RECORD",
		summary:  "lays one pass over another, or over the median of the good ones, and says where they part",
		example:  "arctally compare boom-pin.arctally --pass 3 --with median -o pass3.html",
		setUp:    compareAction,
	}
}

// compareOptions are what is laid over what, and what counts as apart.
type compareOptions struct {
	pass       int
	with       string
	deviations float64
	dwell      lengthOfTime
	output     string
	json       bool
}

// median is what a pass is laid over where no number is given.
const median = "median"

func compareAction(flags *flag.FlagSet) action {
	options := bindReview(flags)
	options.bindUnits(flags)
	var o compareOptions
	flags.IntVar(&o.pass, "pass", 0, "lay the pass of this `NUMBER` over the other")
	flags.StringVar(&o.with, "with", median, "lay it over `PASS`, a number, or the median of the passes within their limits and without a finding")
	flags.Float64Var(&o.deviations, "deviations", compare.DefaultDeviations, "call it apart from this `NUMBER` of robust standard deviations on, and 2 % of the level")
	flags.Var(&o.dwell, "dwell", "and when it lasts for longer than this `TIME` of arc; left out, as the procedure judges")
	flags.StringVar(&o.output, "o", "", "draw both into `FILE.html` too")
	flags.BoolVar(&o.json, "json", false, `write JSON for programs: bins with angle_deg, depth_mm, and of this pass and the reference
        voltage_v, current_a, power_w, wire_speed_m_min, arc_time_s; where they part is "parts"`)
	return func(ctx context.Context, screen *terminal.Screen, operands []string) error {
		other, err := o.check()
		if err != nil {
			return err
		}
		return options.with(ctx, screen, operands[0], func(r *review.Review) error { return o.show(ctx, screen, r, other, options.units(&r.Sheet().Job)) })
	}
}

// check returns the number of the other pass, 0 for the median.
func (o *compareOptions) check() (other int, err error) {
	wrong := func(text string) error { return &explain.MisuseError{Command: "compare", Text: text} }
	if o.pass <= 0 {
		return 0, wrong("which pass? give --pass and its number")
	}
	if o.with != median {
		other, err = strconv.Atoi(o.with)
		if err != nil || other <= 0 {
			return 0, wrong("--with takes the number of a pass, or median")
		}
	}
	switch {
	case other == o.pass:
		return 0, wrong("a pass laid over itself shows nothing")
	case !(o.deviations > 0):
		return 0, wrong("--deviations must be above zero")
	case o.output != "" && filepath.Ext(o.output) != ".html":
		return 0, wrong(o.output + ": a drawing is a .html file")
	}
	return other, nil
}

func (o *compareOptions) show(ctx context.Context, screen *terminal.Screen, r *review.Review, other int, u sheet.Units) error {
	var dwell *quantity.Seconds
	if o.dwell.set {
		dwell = &o.dwell.time
	}
	c, err := r.Compare(ctx, o.pass, other, o.deviations, dwell)
	if err != nil {
		return err
	}
	s := r.Sheet()
	err = files.Buffered(screen.Out, func(w io.Writer) error {
		if o.json {
			return s.ComparisonJSON(w, c)
		}
		return text.Comparison(w, s, u, c)
	})
	if err != nil || o.output == "" {
		return err
	}
	if err := files.Write(o.output, func(w io.Writer) error { return paper.Comparison(w, s, u, c) }); err != nil {
		return err
	}
	screen.Tell("wrote %s", o.output)
	return nil
}

// lengthOfTime is a time with its unit.
type lengthOfTime struct {
	time quantity.Seconds
	set  bool
}

// String implements flag.Value.
func (f *lengthOfTime) String() string {
	if !f.set {
		return ""
	}
	return quantity.Text(f.time, "s", -1)
}

// Set implements flag.Value.
func (f *lengthOfTime) Set(text string) (err error) {
	f.time, err = quantity.Parse[quantity.Seconds](text)
	if err == nil && f.time < 0 {
		err = errors.New(text + " is negative")
	}
	f.set = err == nil
	return err
}
