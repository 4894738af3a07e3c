package main

import (
	"context"
	"flag"

	"arctally/acquire/record"
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

func verify(ctx context.Context, screen *screen, operands []string) error {
	file := operands[0]
	if err := screen.wait(ctx, "verifying "+file, func() error { return record.Verify(file) }); err != nil {
		return err
	}
	return screen.print(file + ": the record is whole\n")
}
