package workshop

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/link"
	"arctally/acquire/record"
	"arctally/analyze"
	"arctally/analyze/note"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page"
	"arctally/report/page/live"
)

// portPatience is how long a recording waits for an unplugged port.
const portPatience = 5 * time.Minute

// Start implements page.Recording.
func (w *workshop) Start(ctx context.Context, r page.StartRequest) (page.Started, error) {
	r.By = page.SignedBy(ctx, r.By)
	if !w.bench.TryLock() {
		return page.Started{}, errBenchInUse
	}
	defer w.bench.Unlock()
	if busy := w.busy(); busy != nil {
		return page.Started{}, runsAlready(busy.record)
	}
	p, err := w.folder.readJob(r.Job)
	if err != nil {
		return page.Started{}, err
	}
	name, holds, err := w.destination(r, p)
	if err != nil {
		return page.Started{}, err
	}
	if holds == holdsNothing {
		if err := p.Unsure(); err != nil { // it would be said only after the recording had begun
			return page.Started{}, err
		}
	}
	file, err := w.folder.recordPath(name)
	if err != nil {
		return page.Started{}, err
	}
	s := recording.Session{Job: p, Record: file, More: holds != holdsNothing, Patience: portPatience, Now: w.screen.Now}
	run, speed, err := w.source(&s, r)
	if err != nil {
		return page.Started{}, err
	}
	held, err := calibrationsOn(&s)
	if err != nil {
		return page.Started{}, err
	}
	running, end := context.WithCancel(w.running)
	rec := &ongoing{record: name, laid: w.box != nil && r.Port == "", joins: holds == holdsSamples, session: s, end: end, done: make(chan struct{})}
	first := live.State{Record: name, Job: p.Job.Name, JobFile: r.Job}
	rec.monitor = recording.NewMonitor(w.hub, first, p, rec.session.Sensors, live.NewRoll(speed, held), w.screen.Now)
	rec.session.Follower = knowing(rec.monitor, r)
	w.mu.Lock()
	w.current = rec
	w.mu.Unlock()
	w.memory.begun(name, p.Job.People.Operator)
	w.memory.named(page.NameOf(r.By))
	go w.record(running, rec, run)
	w.tellHouse()
	return page.Started{Record: name}, nil
}

// runner records a session until ctx ends or the box has said its last.
type runner func(ctx context.Context, s *recording.Session, quiet *terminal.Screen) (analyze.Result, error)

// source finds out what is recorded from: the virtual box, or a port.
func (w *workshop) source(s *recording.Session, r page.StartRequest) (run runner, speed float64, err error) {
	if w.box == nil || r.Port != "" {
		s.Sensors, err = s.Job.SensorsOn(r.Job, r.Port)
		return func(ctx context.Context, s *recording.Session, quiet *terminal.Screen) (analyze.Result, error) {
			return s.Run(ctx, quiet)
		}, 1, err
	}
	boxes, err := virtualbox.New(s.Job, w.box.Planned(s.Job))
	if err != nil {
		return nil, 0, err
	}
	for k := range boxes {
		s.Sensors = append(s.Sensors, procedure.Sensor{Port: virtualPorts[k], Link: link.Binary})
	}
	s.Now = virtualbox.Clock(w.screen.Now(), boxes[0])
	return func(ctx context.Context, s *recording.Session, quiet *terminal.Screen) (analyze.Result, error) {
		laid, err := virtualbox.Lay(ctx, quiet, s, boxes...)
		return laid.Result, err
	}, w.box.Speed, nil
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

// record records, judges and tells how it ended.
func (w *workshop) record(ctx context.Context, rec *ongoing, run runner) {
	defer rec.end()
	w.screen.Tell("recording %s into %s", rec.session.Job.Name, rec.session.Record)
	quiet := terminal.Quiet(w.screen.Now)
	result, err := run(ctx, &rec.session, quiet)
	switch {
	case err != nil:
	case rec.joins: // what the source said of itself before is in the record alone
		_, err = w.reviews.judgement(rec.record, rec.session.Record, w.folder.stampOfRecord(rec.record), false)
	default:
		err = w.reviews.ready(rec.record, rec.session.Record, w.folder.stampOfRecord(rec.record), rec.monitor.Sources(), result)
	}
	if rec.byHand.Load() || rec.laid && ctx.Err() == nil {
		w.memory.ended(rec.record) // else nobody has ended it: it is offered to be gone on with
	}
	rec.monitor.Finish(err)
	close(rec.done)
	if e := rec.monitor.Mistake(); e != nil {
		w.screen.Tell("%v\n%s", e, e.Stack)
	}
	if err != nil {
		hint := explain.Of(err).Hint
		w.screen.Tell("the recording into %s failed: %v\nhint: %s", rec.session.Record, err, hint)
	} else {
		w.screen.Tell("recorded %s: passes: %d, findings: %d", rec.session.Record, len(result.Passes), len(result.Findings))
	}
	w.tellHouse()
}

// destination chooses the record, and tells what is in it already.
func (w *workshop) destination(r page.StartRequest, p *jobfile.File) (name string, holds contents, err error) {
	if r.Record != "" {
		holds, err = w.contents(r.Record, p)
		if err == nil && holds == holdsSamples && !r.More {
			err = holdsARecording(r.Record)
		}
		return r.Record, holds, err
	}
	if r.More {
		return "", holdsNothing, fieldProblem("record", "which record is to be gone on with?", "name the record")
	}
	for k := 1; ; k++ {
		if name = r.Job; k > 1 {
			name = fmt.Sprintf("%s-%d", r.Job, k)
		}
		if holds, err = w.contents(name, p); holds != holdsSamples {
			return name, holds, err // checks that were made for nothing are not passed over
		}
	}
}

// contents is what a record holds already.
type contents uint8

const (
	holdsNothing contents = iota // there is no record
	holdsChecks
	holdsSamples
)

// contents looks into a record, and whether it was made under the job.
func (w *workshop) contents(name string, p *jobfile.File) (holds contents, err error) {
	file, err := w.folder.recordPath(name)
	if err != nil {
		return holdsSamples, err
	}
	if _, err := os.Stat(file); errors.Is(err, os.ErrNotExist) {
		return holdsNothing, nil
	}
	reader, err := record.Open(file)
	if err != nil {
		return holdsSamples, err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	spans, err := reader.Epochs()
	holds = holdsSamples
	if len(spans) == 0 {
		holds = holdsChecks
	}
	if err == nil {
		err = p.MadeRecord(file, reader.Meta())
	}
	return holds, err
}

// Stop implements page.Recording.
func (w *workshop) Stop(ctx context.Context) (page.Started, error) {
	r := w.busy()
	if r == nil {
		return w.endOpen()
	}
	if by := page.SignedBy(ctx, ""); by != "" { // a device ends it
		_, _ = r.monitor.Note(note.Note{By: by, Text: "recording ended"}) // before it has begun there is nothing to be ended
	}
	r.byHand.Store(true)
	r.end()
	select {
	case <-r.done:
		return page.Started{Record: r.record}, nil
	case <-ctx.Done():
		return page.Started{}, ctx.Err()
	}
}

// endOpen ends the record that nobody has ended, and that nothing writes any more.
func (w *workshop) endOpen() (page.Started, error) {
	open := w.goOn(w.folder.records())
	if open == nil {
		return page.Started{}, recording.ErrNotRecording
	}
	w.memory.ended(open.Record)
	w.tellHouse()
	return page.Started{Record: open.Record}, nil
}

// Live implements page.Recording.
func (w *workshop) Live() *live.State {
	r := w.recorded()
	if r == nil {
		return nil
	}
	return new(r.monitor.Current())
}

// Strip implements page.Recording.
func (w *workshop) Strip() (live.Strip, error) {
	r := w.recorded()
	if r == nil {
		return live.Strip{}, recording.ErrNotRecording
	}
	return r.monitor.Strip(), nil
}

// Bead implements page.Recording.
func (w *workshop) Bead() (live.Bead, error) {
	r := w.recorded()
	if r == nil {
		return live.Bead{}, recording.ErrNotRecording
	}
	return r.monitor.Bead(), nil
}

// Seen implements page.Recording. Ids mean nothing beyond their recording.
func (w *workshop) Seen(_ context.Context, s page.SeenRequest) (live.State, error) {
	r := w.recorded()
	if r == nil || r.record != s.Record {
		return live.State{}, recording.ErrNotRecording
	}
	return r.monitor.Seen(s.IDs, s.More), nil
}

// runsAlready is what cannot be while a recording runs.
func runsAlready(name string) error {
	return &explain.Error{Kind: explain.InTheWay, Text: "a recording runs already, into " + name, Next: "end that recording first"}
}

// holdsARecording is a record that is there already.
func holdsARecording(name string) error {
	return &explain.Error{
		Kind: explain.InTheWay, Text: "the record " + name + " holds a recording already",
		Next: "choose another name, or go on in that record",
	}
}

// errBenchInUse is a sensor box that somebody else reads from.
var errBenchInUse error = &explain.Error{Kind: explain.InTheWay, Text: "a set-up check reads from the sensor box, or somebody listens to the ports", OnPage: "wait until that is done"}
