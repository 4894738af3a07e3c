package main

import (
	"context"
	"errors"
	"flag"

	"arctally/report/sheet"
	"arctally/report/text"
)

// errNotProved is how prove says that it is done, and that the record does not
// prove every pass.
var errNotProved = errors.New("not every pass is proved")

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
	asJSON := flags.Bool("json", false, "write JSON for programs, in full precision")
	simulate := flags.Bool("monte-carlo", false, "check each uncertainty by simulation (JCGM 101)")
	return func(ctx context.Context, screen *screen, operands []string) error {
		proved := false
		err := options.with(ctx, screen, operands[0], func(r *review) error {
			s := r.sheet()
			proved = s.Proved()
			if *asJSON {
				return s.ProofJSON(screen.out, sheet.Simulation(*simulate))
			}
			return text.Proof(screen.out, s, sheet.Simulation(*simulate))
		})
		if err == nil && !proved {
			return errNotProved
		}
		return err
	}
}
