package main

import (
	"context"
	"flag"
	"io"

	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
	"arctally/report/text"
)

func findingsCommand() command {
	return command{
		name:     "findings",
		operands: "RECORD",
		summary:  "shows what to inspect, and where in the bore it is",
		example:  "arctally findings boom-pin.arctally",
		findings: true,
		setUp:    findingsAction,
	}
}

func findingsAction(flags *flag.FlagSet) action {
	options := bindReview(flags)
	options.bindUnits(flags)
	asJSON := flags.Bool("json", false, "write JSON for programs, in full precision")
	return func(ctx context.Context, screen *terminal.Screen, operands []string) error {
		return options.judging(ctx, screen, operands[0], func(r *review.Review) error {
			write := r.Sheet().FindingsJSON
			if !*asJSON {
				write = func(w io.Writer) error { return text.Findings(w, r.Sheet(), options.units()) }
			}
			return write(screen.Out)
		})
	}
}
