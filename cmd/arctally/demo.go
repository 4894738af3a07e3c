package main

import (
	"context"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"

	"arctally/acquire/sensorbox"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/paper"
	"arctally/report/sheet"
	"arctally/report/text"
	"arctally/testdata/job/demo"
)

func demoCommand() command {
	return command{
		name:     "demo",
		summary:  "lays a whole repair with a virtual sensor box: recorded, judged and shown like a real one",
		example:  "arctally demo --speed 60 --faults gas-loss,arc-out -o demo.arctally --report demo.html",
		findings: true,
		setUp:    demoAction,
	}
}

// demoOptions say how the demo is laid and where it is put.
type demoOptions struct {
	virtualbox.Options
	record string
	report string
	keep   bool
}

func demoAction(flags *flag.FlagSet) action {
	var o demoOptions
	flags.Float64Var(&o.Speed, "speed", 120, "lay `SECONDS` of the repair in one second")
	flags.IntVar(&o.Layers, "layers", 2, "lay so many `LAYERS`")
	flags.StringVar(&o.Faults, "faults", virtualbox.DefaultFaults, "let these `NAMES` go wrong, or none: "+strings.Join(virtualbox.FaultNames(), ", "))
	flags.BoolVar(&o.Beside, "beside", false, "a second box beside the arc measures wire speed, gas flow and temperature")
	flags.StringVar(&o.record, "o", "", "record into `RECORD` and keep it; left out, into a temporary folder")
	flags.StringVar(&o.report, "report", "", "write the weld record to `FILE.html`; left out, into a temporary folder")
	flags.BoolVar(&o.keep, "keep", false, "keep the record in the temporary folder")
	return func(ctx context.Context, screen *terminal.Screen, _ []string) error {
		p, err := jobfile.ReadIn(demo.Files, jobfile.Document)
		if err != nil {
			return err
		}
		boxes, err := virtualbox.New(p, o.Options)
		if err != nil {
			return err
		}
		folder, err := o.place()
		if err != nil {
			return err
		}
		return errors.Join(o.show(ctx, screen, p, boxes), o.tidy(folder))
	}
}

// place fills in where the record and the report go.
func (o *demoOptions) place() (folder string, err error) {
	if o.record != "" && o.report != "" {
		o.keep = true
		return "", nil
	}
	if folder, err = os.MkdirTemp("", "arctally-demo-"); err != nil {
		return "", err
	}
	o.keep = o.keep || o.record != ""
	if o.record == "" {
		o.record = filepath.Join(folder, "demo"+jobfile.RecordExtension)
	}
	if o.report == "" {
		o.report = filepath.Join(folder, "demo.html")
	}
	return folder, nil
}

// tidy takes away what nobody asked to keep.
func (o *demoOptions) tidy(folder string) error {
	if !o.keep {
		return os.RemoveAll(o.record)
	}
	return nil
}

// show lays the repair, records it through a serial port, and shows what the
// record says.
func (o *demoOptions) show(ctx context.Context, screen *terminal.Screen, p *jobfile.File, boxes []*sensorbox.Box) error {
	s := recording.Session{Job: p, Record: o.record, Now: virtualbox.Clock(screen.Now(), boxes[0])}
	if _, err := virtualbox.Lay(ctx, screen, &s, boxes...); err != nil {
		return err
	}
	ctx = context.WithoutCancel(ctx) // Ctrl-C ends the laying; what there is, is shown
	return new(reviewFlags).judging(ctx, screen, o.record, func(r *review.Review) error {
		s := r.Sheet()
		err := files.Buffered(screen.Out, func(w io.Writer) error {
			return errors.Join(text.Passes(w, s, sheet.Metric), gapLine(w), text.Findings(w, s, sheet.Metric))
		})
		if err != nil {
			return err
		}
		waves, err := r.Waves(ctx, s)
		if err != nil {
			return err
		}
		if err := files.Write(o.report, func(w io.Writer) error { return paper.With{Waves: waves}.HTML(w, s, sheet.Metric) }); err != nil {
			return err
		}
		screen.Tell("the weld record is %s", o.report)
		if o.keep {
			screen.Tell("the record is %s: arctally passes %s", o.record, o.record)
		}
		return nil
	})
}

func gapLine(w io.Writer) error {
	_, err := io.WriteString(w, "\n")
	return err
}
