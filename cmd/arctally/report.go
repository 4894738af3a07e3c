package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"arctally/report/paper"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
)

func reportCommand() command {
	return command{
		name:     "report",
		operands: "RECORD",
		summary:  "writes the weld record for people (.pdf, .html) or programs (.json)",
		example:  "arctally report boom-pin.arctally -o boom-pin.pdf --paper letter",
		findings: true,
		setUp:    reportAction,
	}
}

func reportAction(flags *flag.FlagSet) action {
	options := bindReview(flags)
	options.bindUnits(flags)
	output := flags.String("o", "", "write `FILE.pdf`, FILE.html or FILE.json; left out, the record's name with .html, here")
	format := formatFlag(layout.A4)
	flags.Var(&format, "paper", "lay a .pdf out on `PAPER`: a4 or letter; left out, a4")
	return func(ctx context.Context, screen *screen, operands []string) error {
		file := *output
		if file == "" {
			file = stem(operands[0]) + ".html"
		}
		write, err := reportWriter(file, layout.Format(format), options)
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
func reportWriter(file string, format layout.Format, options *reviewFlags) (func(*review, io.Writer) error, error) {
	switch filepath.Ext(file) {
	case ".pdf":
		return func(r *review, w io.Writer) error { return paper.PDF(w, r.sheet(), options.units(), format) }, nil
	case ".html":
		return func(r *review, w io.Writer) error { return paper.HTML(w, r.sheet(), options.units()) }, nil
	case ".json":
		return (*review).writeJSON, nil
	default:
		return nil, &usageError{command: "report", text: file + ": a report is a .pdf, a .html or a .json file"}
	}
}

// formatFlag is a size of paper.
type formatFlag layout.Format

// String implements flag.Value.
func (f *formatFlag) String() string { return string(*f) }

// Set implements flag.Value.
func (f *formatFlag) Set(text string) error {
	if !slices.Contains(layout.Formats, layout.Format(text)) {
		return fmt.Errorf("there is no paper %s; choose from a4, letter", text)
	}
	*f = formatFlag(text)
	return nil
}

func (r *review) writeHTML(w io.Writer) error { return paper.HTML(w, r.sheet(), sheet.Metric) }
