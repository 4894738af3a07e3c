package main

import (
	"context"
	"flag"

	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
	"arctally/report/sheet"
	"arctally/report/text"
)

func proveCommand() command {
	return command{
		name:     "prove",
		operands: "RECORD",
		summary:  "says which passes the record proves within the heat input window, and why not the others",
		example:  "arctally prove boom-pin.arctally",
		status3:  "done, and not every pass is proved",
		setUp:    proveAction,
	}
}

func proveAction(flags *flag.FlagSet) action {
	options := bindReview(flags)
	options.bindUnits(flags)
	asJSON := flags.Bool("json", false, "write JSON for programs, in full precision")
	simulate := flags.Bool("monte-carlo", false, "check each uncertainty by simulation (JCGM 101)")
	return func(ctx context.Context, screen *terminal.Screen, operands []string) error {
		proved := false
		err := options.with(ctx, screen, operands[0], func(r *review.Review) error {
			s := r.Sheet()
			proved = s.Proved()
			if *asJSON {
				return s.ProofJSON(screen.Out, sheet.Simulation(*simulate))
			}
			return text.Proof(screen.Out, s, options.units(&r.Sheet().Job), sheet.Simulation(*simulate))
		})
		if err == nil && !proved {
			return explain.ErrNotProved
		}
		return err
	}
}
