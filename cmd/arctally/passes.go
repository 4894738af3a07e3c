package main

import (
	"context"
	"flag"
	"io"

	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
	"arctally/report/text"
)

func passesCommand() command {
	return command{
		name:     "passes",
		operands: "RECORD",
		summary:  "shows the pass table: what each pass took and how it stands to the procedure",
		example:  "arctally passes boom-pin.arctally --us",
		findings: true,
		setUp:    passesAction,
	}
}

func passesAction(flags *flag.FlagSet) action {
	options := bindReview(flags)
	options.bindUnits(flags)
	asJSON := flags.Bool("json", false, "write JSON for programs, in full precision")
	return func(ctx context.Context, screen *terminal.Screen, operands []string) error {
		return options.judging(ctx, screen, operands[0], func(r *review.Review) error {
			write := r.Sheet().PassesJSON
			if !*asJSON {
				write = func(w io.Writer) error { return text.Passes(w, r.Sheet(), options.units(&r.Sheet().Job)) }
			}
			return write(screen.Out)
		})
	}
}
