// Package recording joins a port, the record and the judgement while a job is laid.
//
// Terms. A session is one recording. The judge is the sink that judges what comes
// and shows it; a follower sees all of it once it is judged. What only looks on must
// not end what is recorded: an onlooker stands between them. The monitor is the
// follower that tells the pages how the recording stands.
//
// Errors: what the port, the link or the record says; a *MistakeError where the
// program stumbled over what came, though all of it is stored.
package recording

import (
	"context"
	"errors"
	"strings"
	"sync"
	"time"

	"arctally/acquire"
	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/sealing"
	"arctally/cmd/internal/terminal"
)

// Session is one recording: from ports into a record, judged on the way.
type Session struct {
	Job      *jobfile.File
	Sensors  []procedure.Sensor // all are recorded; acquire says which tells the arc
	Record   string
	More     bool          // go on in a record that exists
	Patience time.Duration // how long the port of the arc is waited for, where it is unplugged
	Now      func() time.Time
	Why      string               // it is gone on with, where no person asked for it; stands in the record
	Disk     func() (Disk, error) // how it stands; nil asks the system
	Follower Follower             // sees all that is recorded, once it is judged; may be nil
}

// Follower looks on while a job is recorded.
type Follower interface {
	series.Sink
	// Follow comes before anything that is recorded.
	Follow(*Judge)
	// Broke comes where following made the program stumble: nothing comes after it.
	Broke(*MistakeError)
}

// Run records until ctx ends, or the port of the box that tells the arc is gone for
// longer than the patience.
// Both are the normal ends of a recording, and no error. Where the disk is full, it waits for
// room, and goes on.
func (s *Session) Run(ctx context.Context, screen *terminal.Screen) (analyze.Result, error) {
	for {
		result, err := s.run(ctx, screen)
		if err == nil || !s.full(ctx, screen, err) {
			return result, err
		}
	}
}

// run records until something ends it.
func (s *Session) run(ctx context.Context, screen *terminal.Screen) (result analyze.Result, err error) {
	ctx, stop := context.WithCancel(ctx)
	var looking sync.WaitGroup
	defer looking.Wait()
	defer stop()
	boxes, open, err := openLines(ctx, s.Sensors, s.Now)
	if err != nil {
		return result, err
	}
	defer func() { err = errors.Join(err, open.close()) }()
	judge := newJudge(screen, s.Job.Job, s.Patience, stop)
	defer judge.progress.Clear()
	writer, epoch, err := s.openRecord(ctx, judge)
	if err != nil {
		return result, err
	}
	judge.hears(len(s.Sensors), review.BaudOf(s.Job.Job))
	judge.start(writer, epoch)
	sinks := []series.Sink{writer, &onlooker{Sink: judge, broke: judge.broke}, beside{screen}, &whose{screen: screen, last: judge.lastBox()}}
	if s.Follower != nil {
		s.Follower.Follow(judge)
		sinks = append(sinks, &onlooker{Sink: s.Follower, broke: s.Follower.Broke})
	}
	screen.Tell("recording %s from %s into %s; Ctrl-C ends", s.Job.Name, s.ports(), s.Record)
	if trouble := sealing.Trouble(); trouble != "" {
		screen.Tell("%s", trouble)
	}
	looking.Go(func() { s.watchRoom(ctx, screen) })
	tallies, err := acquire.RecordBoxes(ctx, boxes, acquire.Config{Sinks: sinks, Epoch: epoch, Ended: stop})
	judge.end()
	if err != nil && nothing(tallies) && !s.More {
		return result, errors.Join(err, jobfile.Discard(writer, s.Record))
	}
	if err = errors.Join(err, writer.Close()); err != nil {
		return result, err
	}
	result, again, err := judge.finish()
	if err == nil && again {
		return s.judgeAnew(context.WithoutCancel(ctx), judge, screen)
	}
	if err == nil {
		review.KeepLive(ctx, s.Record, result)
	}
	return result, err
}

// judgeAnew judges the record as it is read, where something was heard only later.
func (s *Session) judgeAnew(ctx context.Context, judge *Judge, screen *terminal.Screen) (analyze.Result, error) {
	screen.Tell("where the torch had stood, or what a box had measured, was heard only later: all passes are judged anew")
	r, err := review.Judge(ctx, s.Record, "", judge.progress.Show)
	if err != nil {
		return analyze.Result{}, err
	}
	return r.Result, errors.Join(judge.showFrom(0, r.Result.Passes), r.Close())
}

// openRecord makes the record, or opens the one that is gone on with and hands
// what is in it to the analysis.
func (s *Session) openRecord(ctx context.Context, judge *Judge) (writer *record.Writer, epoch int, err error) {
	if !s.More {
		writer, err = s.Job.CreateRecord(s.Record, s.Now())
		return writer, 0, err
	}
	if writer, err = record.Append(s.Record); err != nil {
		return nil, 0, err
	}
	sealing.Seal(writer)
	if err := errors.Join(s.sayWhy(writer), writer.Sync(), s.replay(ctx, judge)); err != nil {
		return nil, 0, errors.Join(err, writer.Close())
	}
	// The box may have started anew: nothing joins what is there with what comes.
	return writer, writer.NextEpoch(), nil
}

// sayWhy puts on record why it is gone on with.
func (s *Session) sayWhy(writer *record.Writer) error {
	if s.Why == "" {
		return nil
	}
	epoch, tick, _ := writer.Last()
	return writer.Event(series.Event{Kind: series.Remark, Epoch: epoch, Tick: tick, Until: tick, Count: 1, Text: s.Why})
}

// replay hands what a record holds to the analysis that goes on with it.
func (s *Session) replay(ctx context.Context, judge *Judge) (err error) {
	reader, err := record.Open(s.Record)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	if err := s.Job.MadeRecord(s.Record, reader.Meta()); err != nil {
		return err
	}
	later, err := review.LaterCalibrations(reader, s.Job)
	if err != nil {
		return err
	}
	review.Calibrate(judge.run, later)
	review.Calibrate(judge.ahead, later)
	return review.Feed(ctx, reader, judge.both(), func(float64) {})
}

// both are two sinks that get the same.
type both [2]series.Sink

// Source implements series.Sink.
func (b both) Source(s series.Source) error { return errors.Join(b[0].Source(s), b[1].Source(s)) }

// Block implements series.Sink.
func (b both) Block(x *series.Block) error { return errors.Join(b[0].Block(x), b[1].Block(x)) }

// Event implements series.Sink.
func (b both) Event(e series.Event) error { return errors.Join(b[0].Event(e), b[1].Event(e)) }

// ports names those of all sensors.
func (s *Session) ports() string {
	names := make([]string, len(s.Sensors))
	for k := range s.Sensors {
		names[k] = s.Sensors[k].Port
	}
	return strings.Join(names, ", ")
}

// nothing reports whether no box has said anything.
func nothing(tallies []acquire.Tally) bool {
	for _, t := range tallies {
		if t.Frames > 0 {
			return false
		}
	}
	return true
}
