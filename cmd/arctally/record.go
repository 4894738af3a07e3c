package main

import (
	"context"
	"flag"
	"time"
)

func recordCommand() command {
	return command{
		name:     "record",
		operands: "JOB.yaml",
		summary:  "records one job from its sensor box, and shows each pass as it ends",
		example:  "arctally record job.yaml -o boom-pin.arctally --for 45m",
		findings: true,
		setUp:    recordAction,
	}
}

func recordAction(flags *flag.FlagSet) action {
	output := flags.String("o", "", "record into `RECORD`; left out, a file named by the job and the date, here")
	name := flags.String("port", "", "read from `PORT` in place of the one in the job file")
	length := flags.Duration("for", 0, "end after this `DURATION`; left out, Ctrl-C ends")
	more := flags.Bool("append", false, "go on in a record that exists, after a stop or a crash")
	patience := flags.Duration("patience", 5*time.Minute, "end when the port has been unplugged for this `DURATION`")
	return func(ctx context.Context, screen *screen, operands []string) error {
		p, err := loadPlan(operands[0])
		if err != nil {
			return err
		}
		s := session{plan: p, record: *output, more: *more, patience: *patience, now: screen.now}
		if s.record == "" {
			s.record = recordName(operands[0], "-"+screen.now().Format(time.DateOnly))
		}
		if s.sensor, err = sensorOf(p, operands[0], *name); err != nil {
			return err
		}
		if len(p.job.Sensors) > 1 {
			screen.tell("warning: the job has %d sensors; %s alone is recorded", len(p.job.Sensors), s.sensor.Port)
		}
		if *length > 0 {
			var stop context.CancelFunc
			ctx, stop = context.WithTimeout(ctx, *length)
			defer stop()
		}
		result, err := s.run(ctx, screen)
		if err != nil {
			return err
		}
		return finished(screen, s.record, result)
	}
}
