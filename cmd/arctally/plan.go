package main

import (
	"context"
	"flag"
	"fmt"

	"arctally/acquire/quantity"
	planning "arctally/analyze/plan"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/terminal"
	"arctally/report/sheet"
	"arctally/report/text"
)

func planCommand() command {
	return command{
		name:     "plan",
		operands: "JOB.yaml",
		summary:  "plans a job: layers, rotation, time, metal, heat input, preheat",
		example:  "arctally plan job.yaml --us",
		setUp:    planAction,
	}
}

func planAction(flags *flag.FlagSet) action {
	var units reviewFlags
	units.bindUnits(flags)
	var options planning.Options
	asJSON := flags.Bool("json", false, "write JSON for programs, in full precision")
	flags.Func("wall", "the `TEMPERATURE` of the wall before each layer, in place of the computed preheat: 120degC", func(text string) error {
		wall, err := quantity.Parse[quantity.Celsius](text)
		options.Wall = &wall
		return err
	})
	bindLength(flags, &options.LeastAllowance, "allowance", "the least `LENGTH` to leave for machining on a side, usually 1.5mm")
	bindLength(flags, &options.BeadWidth, "bead-width", "the `LENGTH` across a bead, measured on a test piece: 6.5mm")
	return func(_ context.Context, screen *terminal.Screen, operands []string) error {
		loaded, err := jobfile.Read(operands[0])
		if err != nil {
			return err
		}
		made, err := planning.Make(loaded.Job, options)
		if err != nil {
			return fmt.Errorf("%s: %w", operands[0], err)
		}
		s := sheet.NewPlan(loaded.Job, made)
		if *asJSON {
			return s.JSON(screen.Out)
		}
		return text.Plan(screen.Out, s, units.units(loaded.Job))
	}
}

// bindLength binds a flag that takes a length above zero.
func bindLength(flags *flag.FlagSet, to *quantity.Metres, name, usage string) {
	flags.Func(name, usage, func(text string) error {
		length, err := quantity.Parse[quantity.Metres](text)
		if err == nil && length <= 0 {
			err = fmt.Errorf("%q: a length must be above zero", text)
		}
		*to = length
		return err
	})
}
