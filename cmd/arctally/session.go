package main

import (
	"context"
	"errors"
	"strings"
	"time"

	"arctally/acquire"
	"arctally/acquire/port"
	"arctally/acquire/record"
	"arctally/analyze"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/explain"
)

// session is one recording: from a port into a record, judged on the way.
type session struct {
	plan     *plan
	sensor   procedure.Sensor
	record   string
	more     bool          // go on in a record that exists
	patience time.Duration // how long an unplugged port is waited for
	now      func() time.Time
	follower follower // sees all that is recorded, once it is judged; may be nil
}

// follower looks on while a job is recorded.
type follower interface {
	acquire.Sink
	// follow comes before anything that is recorded.
	follow(*liveJudge)
	// broke comes where following made the program stumble: nothing comes after it.
	broke(*mistakeError)
}

// sensorOf returns the sensor to record, on the port that is asked for.
func sensorOf(p *plan, file, portName string) (procedure.Sensor, error) {
	if len(p.job.Sensors) == 0 {
		if portName == "" {
			return procedure.Sensor{}, noSensor(file)
		}
		return procedure.Sensor{Port: portName, Link: "binary", Baud: port.DefaultBaud}, nil
	}
	sensor := p.job.Sensors[0]
	if portName != "" {
		sensor.Port = portName
	}
	return sensor, nil
}

// run records until ctx ends, or the port is gone for longer than the patience.
// Both are the normal ends of a recording, and no error.
func (s *session) run(ctx context.Context, screen *screen) (result analyze.Result, err error) {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	line, err := port.Open(ctx, s.portOf())
	if err != nil {
		return result, err
	}
	defer func() { err = errors.Join(err, line.Close()) }()
	judge := newLiveJudge(screen, s.plan.job, s.patience, stop)
	defer judge.progress.clear()
	writer, epoch, err := s.openRecord(ctx, judge)
	if err != nil {
		return result, err
	}
	judge.start(writer, epoch)
	sinks := []acquire.Sink{writer, &onlooker{Sink: judge, broke: judge.broke}}
	if s.follower != nil {
		s.follower.follow(judge)
		sinks = append(sinks, &onlooker{Sink: s.follower, broke: s.follower.broke})
	}
	screen.tell("recording %s from %s into %s; Ctrl-C ends", s.plan.job.Name, s.sensor.Port, s.record)
	tally, err := acquire.Record(ctx, line, acquire.Config{Link: s.sensor.Link, Now: s.now, Sinks: sinks, Epoch: epoch})
	judge.end()
	if err != nil && tally.Frames == 0 && !s.more {
		return result, errors.Join(err, discard(writer, s.record))
	}
	if err = errors.Join(err, writer.Close()); err != nil {
		return result, err
	}
	return judge.finish()
}

// openRecord makes the record, or opens the one that is gone on with and hands
// what is in it to the analysis.
func (s *session) openRecord(ctx context.Context, judge *liveJudge) (writer *record.Writer, epoch int, err error) {
	if !s.more {
		writer, err = createRecord(s.record, s.plan, s.now())
		return writer, 0, err
	}
	if writer, err = record.Append(s.record); err != nil {
		return nil, 0, err
	}
	if err := errors.Join(writer.Sync(), s.replay(ctx, judge)); err != nil {
		return nil, 0, errors.Join(err, writer.Close())
	}
	last, _, any := writer.Last()
	if any {
		last++ // the box may have started anew: nothing joins what is there with what comes
	}
	return writer, last, nil
}

// replay hands what a record holds to the analysis that goes on with it.
func (s *session) replay(ctx context.Context, judge *liveJudge) (err error) {
	reader, err := record.Open(s.record)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	if text := reader.Meta().Documents[jobDocument]; text != s.plan.documents[jobDocument] {
		return otherJob(s.record)
	}
	later, err := laterCalibrations(reader, s.plan)
	if err != nil {
		return err
	}
	calibrate(judge.run, later)
	return feed(ctx, reader, judge.run, func(float64) {})
}

// noSensor is a job that names no sensor, where one is needed.
func noSensor(file string) error {
	next := "plug in the sensor box and name its port: sensors: [{port: /dev/serial/by-id/..., link: binary}] in the job file, or --port"
	if found := port.Candidates(); len(found) > 0 {
		next = "name a port, in the job file or with --port: " + strings.Join(found, ", ")
	}
	return &explain.Error{Kind: explain.Unfit, Text: file + ": the job names no sensor", Next: next}
}

// portOf is the port configuration of the session's sensor.
func (s *session) portOf() port.Config {
	return port.Config{Name: s.sensor.Port, Baud: s.sensor.Baud}
}
