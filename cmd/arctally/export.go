package main

import (
	"bufio"
	"context"
	"errors"
	"flag"
	"io"
	"slices"

	"arctally/report/export"
)

// The formats of an export.
const (
	formatCSV          = "csv"
	formatJSON         = "json"
	formatLineProtocol = "lineprotocol"
)

func exportCommand() command {
	return command{
		name:     "export",
		operands: "RECORD",
		summary:  "writes the samples (csv), the results (json) or both (lineprotocol) for other programs",
		example:  "arctally export boom-pin.arctally --format csv -o samples.csv",
		setUp:    exportAction,
	}
}

func exportAction(flags *flag.FlagSet) action {
	options := bindReview(flags)
	format := flags.String("format", formatCSV, "write `FORMAT`: csv, json or lineprotocol")
	output := flags.String("o", "", "write into `FILE`; left out, to the screen or a pipe")
	slow := flags.Bool("slow", false, "csv: the slow channels and turn counts in place of voltage and current")
	return func(ctx context.Context, screen *screen, operands []string) error {
		if !slices.Contains([]string{formatCSV, formatJSON, formatLineProtocol}, *format) {
			return &usageError{command: "export", text: "there is no format " + *format}
		}
		return options.with(ctx, screen, operands[0], func(r *review) error {
			write := func(w io.Writer) error { return r.export(ctx, screen, w, *format, *slow) }
			if *output != "" {
				return writeFile(*output, write)
			}
			return buffered(screen.out, write)
		})
	}
}

func (r *review) export(ctx context.Context, screen *screen, w io.Writer, format string, slow bool) error {
	bar := screen.progress("exporting " + r.file)
	defer bar.clear()
	samples := export.Samples{Parts: r.parts(ctx, bar), Calibrations: r.calibration, WallTime: r.WallTime}
	switch {
	case format == formatLineProtocol:
		return export.LineProtocol(w, samples, r.sheet())
	case format == formatJSON:
		return r.writeJSON(w)
	case slow:
		return export.SlowCSV(w, samples)
	default:
		return export.CSV(w, samples)
	}
}

// writeJSON writes the results, what the sources said of themselves and the events.
func (r *review) writeJSON(w io.Writer) error {
	events, err := r.Events()
	if err != nil {
		return err
	}
	return export.JSON(w, export.Job{Sheet: r.sheet(), Sources: r.sources, Events: events, WallTime: r.WallTime})
}

// buffered writes to w in large pieces.
func buffered(w io.Writer, write func(io.Writer) error) error {
	b := bufio.NewWriter(w)
	return errors.Join(write(b), b.Flush())
}
