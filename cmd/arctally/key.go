package main

import (
	"context"
	"flag"

	"arctally/acquire/foreign"
	"arctally/acquire/seal"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/sealing"
	"arctally/cmd/internal/terminal"
)

func keyCommand() command {
	return command{
		name:    "key",
		summary: "shows the key with which this machine seals records",
		example: `arctally key --for "Inspector 1"`,
		setUp: func(set *flag.FlagSet) action {
			person := set.String("for", "", "show the key of the person `NAME`, by which inspect seals what he decides; it is made where there is none")
			return func(_ context.Context, screen *terminal.Screen, _ []string) error {
				if err := foreign.Fits("--for", *person, foreign.LongestName); err != nil {
					return &explain.MisuseError{Command: "key", Text: err.Error()}
				}
				k, err := keyFor(*person)
				if err != nil {
					return &explain.Error{Kind: explain.InTheWay, Text: "key: " + err.Error(), Next: "records are written without seals until this is mended", Cause: err}
				}
				return screen.Print(k.Signer().Line() + "\n")
			}
		},
	}
}

func keyFor(person string) (*seal.Key, error) {
	if person == "" {
		return sealing.Machine()
	}
	return sealing.MakePerson(person)
}
