package apart

import (
	"context"
	"fmt"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/link"
	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/note"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page/live"
)

// portPatience is how long a recording waits for an unplugged port.
const portPatience = 5 * time.Minute

// runner records a session until ctx ends or the box has said its last.
type runner func(ctx context.Context, s *recording.Session, quiet *terminal.Screen) (analyze.Result, error)

// prepare makes the session of the order, and begins to tell how it stands.
func (h *host) prepare() error {
	o := &h.order
	p, err := jobfile.OfRecord(o.JobFile, record.Meta{Documents: o.Documents})
	if err != nil {
		return err
	}
	h.session = recording.Session{Job: p, Record: o.File, More: o.More, Patience: portPatience, Now: h.now}
	if o.Again != nil {
		h.session.Why = o.Again.words()
	}
	run, speed, err := h.source()
	if err != nil {
		return err
	}
	held, err := calibrationsOn(&h.session)
	if err != nil {
		return err
	}
	h.run = run
	first := live.State{Record: o.Record, Job: p.Job.Name, JobFile: o.JobFile}
	h.monitor = recording.NewMonitor(h, first, p, h.session.Sensors, live.NewRoll(speed, held), h.now)
	h.session.Follower = knowing(h.monitor, o)
	if o.Again != nil {
		h.monitor.Interrupted(fmt.Sprintf("the recorder died (%s) and was started again: what came between is missing", o.Again.Why), o.Again.Died)
	}
	return nil
}

// source finds out what is recorded from: the virtual box, or a port.
func (h *host) source() (run runner, speed float64, err error) {
	s, o := &h.session, &h.order
	s.Sensors, err = o.Sensors(s.Job)
	if err != nil || !o.Laid() {
		return func(ctx context.Context, s *recording.Session, quiet *terminal.Screen) (analyze.Result, error) {
			return s.Run(ctx, quiet)
		}, 1, err
	}
	boxes, err := virtualbox.New(s.Job, o.Box.Planned(s.Job))
	if err != nil {
		return nil, 0, err
	}
	s.Now = virtualbox.Clock(h.now(), boxes[0])
	return func(ctx context.Context, s *recording.Session, quiet *terminal.Screen) (analyze.Result, error) {
		laid, err := virtualbox.Lay(ctx, quiet, s, boxes...)
		return laid.Result, err
	}, o.Box.Speed, nil
}

// Sensors are those that are recorded, of the order's job.
func (o *Order) Sensors(job *jobfile.File) (sensors []procedure.Sensor, err error) {
	if !o.Laid() {
		return job.SensorsOn(o.JobFile, o.Port)
	}
	boxes, err := virtualbox.New(job, o.Box.Planned(job))
	if err != nil {
		return nil, err
	}
	for k := range boxes {
		sensors = append(sensors, procedure.Sensor{Port: virtualPorts[k], Link: link.Binary})
	}
	return sensors, nil
}

// virtualPorts are what a page reads where it reads the name of a port.
var virtualPorts = [...]string{"virtual sensor box", "virtual sensor box beside"}

// calibrationsOn are those that hold for what is about to be recorded: of the job,
// and of the checks in a record that is gone on with.
func calibrationsOn(s *recording.Session) (held calib.Register, err error) {
	if !s.More {
		for _, c := range s.Job.Instruments {
			held.All = append(held.All, calib.Timed{Calibration: c})
		}
		return held, nil
	}
	r, err := review.OpenUnjudged(s.Record)
	if err != nil {
		return held, err
	}
	return r.Register(), r.Close()
}

// opening is the monitor of a recording that began with words of somebody: they go on
// record with the first samples.
type opening struct {
	*recording.Monitor
	note note.Note
	kept bool
}

// knowing is the follower of a recording that is asked for.
func knowing(m *recording.Monitor, o *Order) recording.Follower {
	if o.Begun == "" {
		return m
	}
	return &opening{Monitor: m, note: note.Note{By: o.By, Text: o.Begun}}
}

// Block implements series.Sink.
func (o *opening) Block(b *series.Block) error {
	if err := o.Monitor.Block(b); err != nil || b.Box > 0 || o.kept {
		return err
	}
	o.kept = true
	_, err := o.Note(o.note)
	return err
}
