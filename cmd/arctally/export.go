package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"

	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
	"arctally/report/export"
)

func exportCommand() command {
	return command{
		name:     "export",
		operands: "[RECORD]",
		summary:  "writes the samples (csv, parquet), the results (json) or both (lineprotocol) for other programs",
		example:  "arctally export boom-pin.arctally --format parquet -o samples.parquet",
		setUp:    exportAction,
	}
}

// exportFlags say what is written, and how.
type exportFlags struct {
	review.Form
	output string
	schema bool
}

func exportAction(flags *flag.FlagSet) action {
	options, wanted := bindReview(flags), new(exportFlags)
	flags.StringVar(&wanted.Format, "format", review.FormatCSV, "write `FORMAT`: csv, parquet, json or lineprotocol; in csv a text that a spreadsheet would take for a formula has an apostrophe before it")
	flags.StringVar(&wanted.Table, "table", review.TableSamples, "csv and parquet: the `TABLE` that is written: samples, passes or findings")
	flags.StringVar(&wanted.output, "o", "", "write into `FILE`; left out, to the screen or a pipe")
	flags.BoolVar(&wanted.Slow, "slow", false, "csv and parquet: the slow channels and turn counts in place of voltage and current")
	flags.BoolVar(&wanted.schema, "schema", false, "write what every field of --format json means, as JSON Schema; needs no record")
	return func(ctx context.Context, screen *terminal.Screen, operands []string) error {
		if text := wanted.refused(operands); text != "" {
			return &explain.MisuseError{Command: "export", Text: text}
		}
		if wanted.schema {
			return wanted.write(screen, func(w io.Writer) error { _, err := w.Write(export.Schema()); return err })
		}
		return options.with(ctx, screen, operands[0], func(r *review.Review) error {
			bar := screen.Progress("exporting " + r.File)
			defer bar.Clear()
			return wanted.write(screen, func(w io.Writer) error { return r.Export(ctx, w, wanted.Form, bar.Show) })
		})
	}
}

// refused says why a command line cannot be carried out, nothing where it can.
func (f *exportFlags) refused(operands []string) string {
	typed := f.Format == review.FormatCSV || f.Format == review.FormatParquet
	switch {
	case f.schema && len(operands) > 0:
		return "the schema is that of every record: leave " + operands[0] + " out"
	case f.schema:
		return ""
	case len(operands) == 0:
		return "export takes RECORD, but got no operand"
	case !slices.Contains([]string{review.FormatCSV, review.FormatParquet, review.FormatJSON, review.FormatLineProtocol}, f.Format):
		return "there is no format " + f.Format
	case !slices.Contains([]string{review.TableSamples, string(export.Passes), string(export.Findings)}, f.Table):
		return "there is no table " + f.Table
	case !typed && f.Table != review.TableSamples:
		return fmt.Sprintf("%s has all tables in it: --table is for csv and parquet", f.Format)
	case f.Slow && (!typed || f.Table != review.TableSamples):
		return "--slow is for the samples, as csv or parquet"
	case f.Format == review.FormatParquet && f.output == "":
		return "parquet is no text, and is read from its end: name the file with -o " + f.suggestion(operands[0])
	default:
		return ""
	}
}

// suggestion is the name of a file that could be written.
func (f *exportFlags) suggestion(record string) string {
	return strings.Join([]string{files.Stem(record), f.Table, review.FormatParquet}, ".")
}

func (f *exportFlags) write(screen *terminal.Screen, write func(io.Writer) error) error {
	if f.output != "" {
		return files.Write(f.output, write)
	}
	out := screen.Out
	if f.Format == review.FormatLineProtocol {
		out = screen.Data() // it knows no other way to write a character
	}
	return files.Buffered(out, write)
}
