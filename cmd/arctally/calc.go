package main

import (
	"context"
	"flag"
	"strings"

	"arctally/cmd/internal/bench"
	"arctally/cmd/internal/terminal"
)

func calcCommand() command {
	var examples []string
	for _, f := range bench.Formulas() {
		examples = append(examples, "arctally calc "+f.Name+" "+f.Example)
	}
	return command{
		name:     "calc",
		operands: "QUANTITY [key=value...]",
		summary:  "computes one formula at the bench, with its source",
		example:  strings.Join(examples, "\n  "),
		setUp:    calcAction,
	}
}

func calcAction(flags *flag.FlagSet) action {
	asJSON := flags.Bool("json", false, "write JSON for programs, in full precision")
	return func(_ context.Context, screen *terminal.Screen, operands []string) error {
		answer, err := bench.Calculate(operands)
		if err != nil {
			return err
		}
		if *asJSON {
			text, err := answer.JSON()
			if err != nil {
				return err
			}
			return screen.Print(text)
		}
		return screen.Print(answer.Text())
	}
}
