package main

import (
	"context"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"time"

	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/terminal"
)

func manualCommand() command {
	return command{
		name:     "manual",
		operands: "FOLDER",
		summary:  "writes the manual pages of all commands, and what lets a shell complete them, into a folder",
		example: "arctally manual /tmp/arctally\n  man /tmp/arctally/man/arctally-serve.1\n\n" +
			"  The Debian package has put them in their places already. Elsewhere: completion/arctally.bash is to be sourced by bash,\n" +
			"  completion/_arctally goes into a folder of fpath for zsh, completion/arctally.fish into ~/.config/fish/completions.",
		setUp: manualAction,
	}
}

func manualAction(flags *flag.FlagSet) action {
	date := ""
	flags.Func("date", "put this `DATE` on the pages, such as 2026-03-02; left out, none", func(text string) error {
		date = text
		_, err := time.Parse(time.DateOnly, text)
		if err != nil {
			return errors.New("a date is written as 2026-03-02")
		}
		return nil
	})
	return func(_ context.Context, screen *terminal.Screen, operands []string) error {
		p := aboutProgram(commands())
		p.Date = date
		made := p.Files()
		for name, text := range made {
			if err := writeBelow(operands[0], name, text); err != nil {
				return &explain.Error{Kind: explain.InTheWay, Text: err.Error(), Next: "name a folder in which you may write", Cause: err}
			}
		}
		return screen.Printf("wrote %d files below %s\n", len(made), operands[0])
	}
}

// writeBelow writes one file below a folder, and the folders in which it lies.
func writeBelow(folder, name, text string) error {
	file := filepath.Join(folder, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		return err
	}
	return files.Write(file, func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	})
}
