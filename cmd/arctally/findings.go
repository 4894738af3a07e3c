package main

import (
	"context"
	"flag"

	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
	"arctally/report/sheet"
	"arctally/report/text"
)

func findingsCommand() command {
	return command{
		name:     "findings",
		operands: "RECORD",
		summary:  "shows what to inspect, cause by cause, and where in the bore it is",
		example:  "arctally findings boom-pin.arctally",
		findings: true,
		setUp:    findingsAction,
	}
}

func findingsAction(flags *flag.FlagSet) action {
	options := bindReview(flags)
	options.bindUnits(flags)
	var choice sheet.Choice
	flags.StringVar(&choice.Cause, "cause", "", "only events with these `WORDS` in their cause, such as gas")
	flags.StringVar(&choice.Rule, "rule", "", "only findings by this `RULE`, such as voltage")
	flags.IntVar(&choice.Pass, "pass", 0, "only findings of this pass `NUMBER`")
	flags.IntVar(&choice.Layer, "layer", 0, "only findings of this layer `NUMBER`")
	flags.BoolVar(&choice.Open, "open", false, "only findings for which somebody has still to do something")
	brief := flags.Bool("events", false, "a line an event, without its findings")
	asJSON := flags.Bool("json", false, "write JSON for programs, in full precision")
	return func(ctx context.Context, screen *terminal.Screen, operands []string) error {
		return options.judging(ctx, screen, operands[0], func(r *review.Review) error {
			if *asJSON {
				return r.Sheet().ChosenJSON(screen.Out, choice)
			}
			return text.Chosen(screen.Out, r.Sheet(), options.units(&r.Sheet().Job), choice, *brief)
		})
	}
}
