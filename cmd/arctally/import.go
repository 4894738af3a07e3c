package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"time"

	"arctally/acquire/capture"
	"arctally/acquire/clock"
	"arctally/acquire/quantity"
	"arctally/acquire/record"
)

func importCommand() command {
	return command{
		name:     "import",
		operands: "CAPTURE",
		summary:  "takes a capture that was made elsewhere into a record, and judges it",
		example:  "arctally import run7.csv --job job.yaml -o run7.arctally --time 1 --time-layout unix --voltage 2*0.1 --current 3",
		findings: true,
		setUp:    importAction,
	}
}

func importAction(flags *flag.FlagSet) action {
	var o capture.Options
	jobFile := flags.String("job", "", "judge by `JOB.yaml`, which goes into the record")
	output := flags.String("o", "", "make `RECORD`; left out, a file named by the capture, here")
	flags.StringVar(&o.Time, "time", "", "the time stands in `COLUMN`, by name or by number from 1; join several with +")
	flags.StringVar(&o.TimeLayout, "time-layout", "", "`LAYOUT` of the time, as Go writes it, or unix")
	flags.StringVar(&o.Voltage, "voltage", "", "the voltage in V stands in `COLUMN[*FACTOR]`")
	flags.StringVar(&o.Current, "current", "", "the current in A stands in `COLUMN[*FACTOR]`")
	flags.StringVar(&o.WireSpeed, "wire-speed", "", "the wire speed in m/s stands in `COLUMN[*FACTOR]`")
	flags.StringVar(&o.WireLength, "wire-length", "", "the length of wire fed in m stands in `COLUMN[*FACTOR]`")
	flags.StringVar(&o.ArcFlag, "arc", "", "`COLUMN` of a flag: non-zero is arc on, whatever voltage and current are")
	flags.Func("rate", "samples come at this `RATE`, such as \"50 kHz\", where there is no time column", func(text string) (err error) {
		o.Rate, err = quantity.Parse[quantity.Hertz](text)
		return err
	})
	return func(ctx context.Context, screen *screen, operands []string) error {
		if *jobFile == "" {
			return &usageError{command: "import", text: "no job file: a capture is judged by the job that it belongs to, --job JOB.yaml"}
		}
		p, err := loadPlan(*jobFile)
		if err != nil {
			return err
		}
		file := *output
		if file == "" {
			file = recordName(operands[0], "")
		}
		if err := importCapture(ctx, screen, operands[0], o, p, file); err != nil {
			return err
		}
		return passes(ctx, screen, file)
	}
}

// importCapture makes the record; a capture that cannot be read leaves none.
func importCapture(ctx context.Context, screen *screen, name string, o capture.Options, p *plan, file string) (err error) {
	source, err := os.Open(name)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, source.Close()) }()
	info, err := source.Stat()
	if err != nil {
		return err
	}
	writer, err := createRecord(file, p, screen.now())
	if err != nil {
		return err
	}
	bar := screen.progress("importing " + name)
	defer bar.clear()
	in := &interruptible{File: source, ctx: ctx}
	summary, err := capture.Import(in, info.Size(), name, o, writer, func(done, total int64) { bar.show(float64(done) / float64(total)) })
	if err == nil {
		err = dateRecord(writer, summary)
	}
	if err != nil {
		return errors.Join(err, discard(writer, file))
	}
	bar.clear()
	screen.tell("%s", importLine(summary))
	return writer.Close()
}

// interruptible is a file whose reading ends with a context.
type interruptible struct {
	*os.File
	ctx context.Context
}

// ReadAt implements io.ReaderAt.
func (f *interruptible) ReadAt(p []byte, offset int64) (int, error) {
	if err := f.ctx.Err(); err != nil {
		return 0, err
	}
	return f.File.ReadAt(p, offset)
}

// dateRecord tells the record that ticks are Unix time, where they are.
func dateRecord(writer *record.Writer, s capture.Summary) error {
	if !s.Dated {
		return nil
	}
	for epoch := range s.Epochs {
		at := time.Unix(0, s.First)
		if err := writer.Clock(clock.Fit{Epoch: epoch, Tick: s.First, Wall: at, Slope: 1}); err != nil {
			return err
		}
	}
	return nil
}

// importLine says what became of the rows.
func importLine(s capture.Summary) string {
	line := fmt.Sprintf("rows: %d, samples: %d, %s", s.Rows, s.Samples, s.Basis)
	for _, odd := range []struct {
		count int64
		what  string
	}{
		{s.Unreadable, "unreadable rows"},
		{s.NoValue, "rows without a value"},
		{s.Backward, "steps back in time"},
		{s.Repeated, "repeated times"},
		{s.Gaps, "gaps"},
	} {
		if odd.count > 0 {
			line += fmt.Sprintf(", %s: %d", odd.what, odd.count)
		}
	}
	return line
}

// passes shows the pass table of a record.
func passes(ctx context.Context, screen *screen, file string) error {
	return passesCommand().do(ctx, screen, []string{file})
}
