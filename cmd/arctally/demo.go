package main

import (
	"context"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"arctally/acquire/sensorbox"
	"arctally/analyze"
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
	speed  float64
	layers int
	faults string
	record string
	report string
	keep   bool
}

func demoAction(flags *flag.FlagSet) action {
	var o demoOptions
	flags.Float64Var(&o.speed, "speed", 120, "lay `SECONDS` of the repair in one second")
	flags.IntVar(&o.layers, "layers", 2, "lay so many `LAYERS`")
	flags.StringVar(&o.faults, "faults", defaultFaults, "let these `NAMES` go wrong, or none: "+strings.Join(faultNames(), ", "))
	flags.StringVar(&o.record, "o", "", "record into `RECORD` and keep it; left out, into a temporary folder")
	flags.StringVar(&o.report, "report", "", "write the weld record to `FILE.html`; left out, into a temporary folder")
	flags.BoolVar(&o.keep, "keep", false, "keep the record in the temporary folder")
	return func(ctx context.Context, screen *screen, _ []string) error {
		p, err := planFrom(demo.Files, jobDocument)
		if err != nil {
			return err
		}
		box, err := boxFor(p, o)
		if err != nil {
			return err
		}
		folder, err := o.place()
		if err != nil {
			return err
		}
		return errors.Join(o.show(ctx, screen, p, box), o.tidy(folder))
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
		o.record = filepath.Join(folder, "demo"+recordExtension)
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
func (o *demoOptions) show(ctx context.Context, screen *screen, p *plan, box *sensorbox.Box) error {
	s := session{plan: p, record: o.record, now: o.clock(screen.now)}
	if _, err := s.lay(ctx, screen, box); err != nil {
		return err
	}
	ctx = context.WithoutCancel(ctx) // Ctrl-C ends the laying; what there is, is shown
	return new(reviewFlags).judging(ctx, screen, o.record, func(r *review) error {
		s := r.sheet()
		err := buffered(screen.out, func(w io.Writer) error {
			return errors.Join(text.Passes(w, s, sheet.Metric), gapLine(w), text.Findings(w, s, sheet.Metric))
		})
		if err != nil {
			return err
		}
		if err := writeFile(o.report, r.writeHTML); err != nil {
			return err
		}
		screen.tell("the weld record is %s", o.report)
		if o.keep {
			screen.tell("the record is %s: arctally passes %s", o.record, o.record)
		}
		return nil
	})
}

func gapLine(w io.Writer) error {
	_, err := io.WriteString(w, "\n")
	return err
}

// clock goes as fast as the box, from now on.
func (o *demoOptions) clock(now func() time.Time) func() time.Time {
	began := now()
	return func() time.Time { return began.Add(time.Duration(o.speed * float64(now().Sub(began)))) }
}

// lay has a box lay its plan on a serial pair while the session records it. The
// recording ends when the box has said its last and it has been read.
func (s *session) lay(ctx context.Context, screen *screen, box *sensorbox.Box) (result laid, err error) {
	name, err := box.Open()
	if err != nil {
		return result, err
	}
	s.sensor.Port, s.sensor.Link = name, "binary"
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	played := make(chan error, 1)
	go func() {
		defer stop()
		var err error
		result.truth, err = box.Play(ctx)
		played <- err
	}()
	result.Result, err = s.run(ctx, screen)
	stop()
	if failed := <-played; failed != nil && !errors.Is(failed, context.Canceled) {
		err = errors.Join(err, failed)
	}
	return result, errors.Join(err, box.Close())
}

// laid is what a session recorded of a virtual sensor box, and what was true.
type laid struct {
	analyze.Result
	truth sensorbox.Truth
}
