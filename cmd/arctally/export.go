package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"

	"arctally/cmd/internal/explain"
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
	exportForm
	output string
	schema bool
}

func exportAction(flags *flag.FlagSet) action {
	options, wanted := bindReview(flags), new(exportFlags)
	flags.StringVar(&wanted.format, "format", formatCSV, "write `FORMAT`: csv, parquet, json or lineprotocol")
	flags.StringVar(&wanted.table, "table", tableSamples, "csv and parquet: the `TABLE` that is written: samples, passes or findings")
	flags.StringVar(&wanted.output, "o", "", "write into `FILE`; left out, to the screen or a pipe")
	flags.BoolVar(&wanted.slow, "slow", false, "csv and parquet: the slow channels and turn counts in place of voltage and current")
	flags.BoolVar(&wanted.schema, "schema", false, "write what every field of --format json means, as JSON Schema; needs no record")
	return func(ctx context.Context, screen *screen, operands []string) error {
		if text := wanted.refused(operands); text != "" {
			return &explain.MisuseError{Command: "export", Text: text}
		}
		if wanted.schema {
			return wanted.write(screen, func(w io.Writer) error { _, err := w.Write(export.Schema()); return err })
		}
		return options.with(ctx, screen, operands[0], func(r *review) error {
			bar := screen.progress("exporting " + r.file)
			defer bar.clear()
			return wanted.write(screen, func(w io.Writer) error { return r.export(ctx, w, wanted.exportForm, bar.show) })
		})
	}
}

// refused says why a command line cannot be carried out, nothing where it can.
func (f *exportFlags) refused(operands []string) string {
	typed := f.format == formatCSV || f.format == formatParquet
	switch {
	case f.schema && len(operands) > 0:
		return "the schema is that of every record: leave " + operands[0] + " out"
	case f.schema:
		return ""
	case len(operands) == 0:
		return "export takes RECORD, but got no operand"
	case !slices.Contains([]string{formatCSV, formatParquet, formatJSON, formatLineProtocol}, f.format):
		return "there is no format " + f.format
	case !slices.Contains([]string{tableSamples, string(export.Passes), string(export.Findings)}, f.table):
		return "there is no table " + f.table
	case !typed && f.table != tableSamples:
		return fmt.Sprintf("%s has all tables in it: --table is for csv and parquet", f.format)
	case f.slow && (!typed || f.table != tableSamples):
		return "--slow is for the samples, as csv or parquet"
	case f.format == formatParquet && f.output == "":
		return "parquet is no text, and is read from its end: name the file with -o " + f.suggestion(operands[0])
	default:
		return ""
	}
}

// suggestion is the name of a file that could be written.
func (f *exportFlags) suggestion(record string) string {
	return strings.Join([]string{stem(record), f.table, formatParquet}, ".")
}

func (f *exportFlags) write(screen *screen, write func(io.Writer) error) error {
	if f.output != "" {
		return writeFile(f.output, write)
	}
	return buffered(screen.out, write)
}
