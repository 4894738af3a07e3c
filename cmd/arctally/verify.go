package main

import (
	"context"
	"flag"

	"arctally/acquire/record"
	"arctally/cmd/internal/terminal"
)

func verifyCommand() command {
	return command{
		name:     "verify",
		operands: "RECORD",
		summary:  "checks that a record is whole and that nobody changed it",
		example:  "arctally verify boom-pin.arctally",
		setUp:    func(*flag.FlagSet) action { return verify },
	}
}

func verify(ctx context.Context, screen *terminal.Screen, operands []string) error {
	file := operands[0]
	if err := screen.Wait(ctx, "verifying "+file, func() error { return record.Verify(file) }); err != nil {
		return err
	}
	return screen.Print(file + ": the record is whole\n")
}
