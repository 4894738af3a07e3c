package main

import (
	"context"
	"flag"

	"arctally/acquire/capture"
	"arctally/acquire/quantity"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/terminal"
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
	flags.StringVar(&o.Turns, "turns", "", "the turns that the torch has made, counted on, stand in `COLUMN[*FACTOR]`")
	flags.StringVar(&o.Position, "position", "", "where the torch is, in m, stands in `COLUMN[*FACTOR]`: along a straight bead, or as x, y and z, joined with +")
	flags.StringVar(&o.Travel, "travel", "", "the travel speed in m/s stands in `COLUMN[*FACTOR]`")
	flags.StringVar(&o.ArcFlag, "arc", "", "`COLUMN` of a flag: non-zero is arc on, whatever voltage and current are")
	flags.Func("rate", "samples come at this `RATE`, such as \"50 kHz\", where there is no time column", func(text string) (err error) {
		o.Rate, err = quantity.Parse[quantity.Hertz](text)
		return err
	})
	return func(ctx context.Context, screen *terminal.Screen, operands []string) error {
		if *jobFile == "" {
			return &explain.MisuseError{Command: "import", Text: "no job file: a capture is judged by the job that it belongs to, --job JOB.yaml"}
		}
		p, err := jobfile.Read(*jobFile)
		if err != nil {
			return err
		}
		file := *output
		if file == "" {
			file = jobfile.RecordName(operands[0], "")
		}
		if err := recording.Import(ctx, screen, operands[0], o, p, file); err != nil {
			return err
		}
		return passes(ctx, screen, file)
	}
}

// passes shows the pass table of a record.
func passes(ctx context.Context, screen *terminal.Screen, file string) error {
	return passesCommand().do(ctx, screen, []string{file})
}
