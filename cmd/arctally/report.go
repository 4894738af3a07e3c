package main

import (
	"context"
	"flag"
	"io"
	"path/filepath"
)

func reportCommand() command {
	return command{
		name:     "report",
		operands: "RECORD",
		summary:  "writes the weld record for people (.html) or programs (.json)",
		example:  "arctally report boom-pin.arctally -o boom-pin.html",
		findings: true,
		setUp:    reportAction,
	}
}

func reportAction(flags *flag.FlagSet) action {
	options := bindReview(flags)
	output := flags.String("o", "", "write `FILE.html` or FILE.json; left out, the record's name with .html, here")
	return func(ctx context.Context, screen *screen, operands []string) error {
		file := *output
		if file == "" {
			file = stem(operands[0]) + ".html"
		}
		write, err := reportWriter(file)
		if err != nil {
			return err
		}
		return options.judging(ctx, screen, operands[0], func(r *review) error {
			if err := writeFile(file, func(w io.Writer) error { return write(r, w) }); err != nil {
				return err
			}
			screen.tell("wrote %s", file)
			return nil
		})
	}
}

// reportWriter chooses the form of the report by the file's name.
func reportWriter(file string) (func(*review, io.Writer) error, error) {
	switch filepath.Ext(file) {
	case ".html":
		return (*review).writeHTML, nil
	case ".json":
		return (*review).writeJSON, nil
	default:
		return nil, &usageError{command: "report", text: file + ": a report is a .html or a .json file"}
	}
}

func (r *review) writeHTML(w io.Writer) error { return r.sheet().HTML(w) }
