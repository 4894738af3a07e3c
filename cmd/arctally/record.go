package main

import (
	"context"
	"flag"
	"time"

	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/terminal"
)

func recordCommand() command {
	return command{
		name:     "record",
		operands: "JOB.yaml",
		summary:  "records one job from its sensor boxes, and shows each pass as it ends",
		example:  "arctally record job.yaml -o boom-pin.arctally --for 45m",
		findings: true,
		setUp:    recordAction,
	}
}

func recordAction(flags *flag.FlagSet) action {
	output := flags.String("o", "", "record into `RECORD`; left out, a file named by the job and the date, here")
	name := flags.String("port", "", "read from `PORT` in place of the first one in the job file")
	length := flags.Duration("for", 0, "end after this `DURATION`; left out, Ctrl-C ends")
	more := flags.Bool("append", false, "go on in a record that exists, after a stop or a crash")
	patience := flags.Duration("patience", 5*time.Minute, "end when the port has been unplugged for this `DURATION`")
	return func(ctx context.Context, screen *terminal.Screen, operands []string) error {
		p, err := jobfile.Read(operands[0])
		if err != nil {
			return err
		}
		if err := p.Unsure(); err != nil && !*more { // it would be said only after the port was opened
			return err
		}
		s := recording.Session{Job: p, Record: *output, More: *more, Patience: *patience, Now: screen.Now}
		if s.Record == "" {
			s.Record = jobfile.RecordName(operands[0], "-"+screen.Now().Format(time.DateOnly))
		}
		if s.Sensors, err = p.SensorsOn(operands[0], *name); err != nil {
			return err
		}
		if *length > 0 {
			var stop context.CancelFunc
			ctx, stop = context.WithTimeout(ctx, *length)
			defer stop()
		}
		result, err := s.Run(ctx, screen)
		if err != nil {
			return err
		}
		return finished(screen, s.Record, result)
	}
}
