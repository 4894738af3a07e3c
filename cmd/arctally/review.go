package main

import (
	"context"
	"errors"
	"flag"
	"iter"
	"math"
	"path/filepath"
	"slices"

	"arctally/acquire"
	"arctally/acquire/calib"
	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/inspect"
	"arctally/analyze/note"
	"arctally/report/export"
	"arctally/report/sheet"
)

// review is a record and what the analysis says of it.
type review struct {
	*record.Reader
	file        string
	plan        *plan
	calibration []calib.Timed // of the job file and of checks, in the order of time
	checks      []*calib.Check
	sources     []series.Source
	result      analyze.Result
	entries     []inspect.Entry // what people put on record
	book        inspect.Book    // of them, over the findings
	fingerprint string
}

// openReview reads a record and judges it, by the job that is in it or by
// another one. The caller closes it.
func openReview(ctx context.Context, screen *screen, file, jobFile string) (*review, error) {
	bar := screen.progress("reading " + file)
	defer bar.clear()
	return judgeRecord(ctx, file, jobFile, bar.show)
}

// judgeRecord is openReview for somebody who is not at the terminal; told hears
// how far it is, from 0 to 1.
func judgeRecord(ctx context.Context, file, jobFile string, told func(share float64)) (*review, error) {
	return newReview(file, jobFile, func(r *review, judge *judge) error {
		if err := feed(ctx, r.Reader, judge, told); err != nil {
			return err
		}
		r.sources, r.result = judge.sources, judge.Finish()
		return nil
	})
}

// newReview opens a record, has it judged, and reads what people put into it.
func newReview(file, jobFile string, judge func(*review, *judge) error) (*review, error) {
	reader, err := record.Open(file)
	if err != nil {
		return nil, err
	}
	r := &review{Reader: reader, file: file}
	prepared, err := r.prepare(jobFile)
	if err == nil {
		err = judge(r, prepared)
	}
	if err == nil {
		err = r.readPeople()
	}
	if err != nil {
		return nil, errors.Join(err, reader.Close())
	}
	return r, nil
}

// prepare reads what a record is judged by.
func (r *review) prepare(jobFile string) (prepared *judge, err error) {
	own, err := planOf(r.file, r.Meta())
	if r.plan = own; jobFile != "" {
		if r.plan, err = loadPlan(jobFile); own == nil {
			own = r.plan // a job that can no longer be read has nothing to say
		}
	}
	if err != nil {
		return nil, err
	}
	first := calib.InForce(own.job.Instruments, r.plan.job.Instruments...)
	later, err := laterCalibrations(r.Reader, own)
	if err != nil {
		return nil, err
	}
	r.calibration = append(fromTheStart(first), later...)
	if r.checks, err = r.Checks(); err != nil {
		return nil, err
	}
	prepared = &judge{Run: analyze.New(r.plan.job, first)}
	calibrate(prepared.Run, later)
	return prepared, nil
}

// readPeople reads what people put on record after welding.
func (r *review) readPeople() (err error) {
	if r.entries, err = readEntries(r.Reader); err != nil {
		return err
	}
	r.book = inspect.Fold(r.entries, r.result.Findings)
	r.fingerprint, err = r.Fingerprint()
	return err
}

// judge is an analysis that also keeps what the sources said of themselves.
type judge struct {
	*analyze.Run
	sources []series.Source
}

// Source implements acquire.Sink.
func (j *judge) Source(s series.Source) error {
	s.Channels = slices.Clone(s.Channels)
	j.sources = append(j.sources, s)
	return j.Run.Source(s)
}

// sheet is the review as people read it.
func (r *review) sheet() *sheet.Sheet {
	in := sheet.Input{
		RecordName: filepath.Base(r.file), Job: r.plan.job, Instruments: calib.InForceAt(r.calibration, math.MaxInt, 0),
		Checks: r.checks, Result: r.result, WallTime: r.WallTime, Fingerprint: r.fingerprint,
		Entries: r.entries, Photograph: r.photograph,
	}
	if n := len(r.sources); n > 0 {
		in.Source = r.sources[n-1]
	}
	setUp := analyze.Setup{Calibrations: r.calibration, Checks: r.checks, WallTime: r.WallTime}
	in.Result.Warnings = append(slices.Clip(in.Result.Warnings), setUp.Doubts(in.Result.Passes)...)
	return sheet.New(in)
}

// reviewFlags are those of every command that judges a record.
type reviewFlags struct {
	job string
	us  bool
}

func bindReview(flags *flag.FlagSet) *reviewFlags {
	f := new(reviewFlags)
	flags.StringVar(&f.job, "job", "", "judge by this `JOB.yaml` in place of the one in the record")
	return f
}

// bindUnits adds the choice of units for what a person reads.
func (f *reviewFlags) bindUnits(flags *flag.FlagSet) {
	flags.BoolVar(&f.us, "us", false, "show US units: in/min, kJ/in, in")
}

func (f *reviewFlags) units() sheet.Units {
	if f.us {
		return sheet.US
	}
	return sheet.Metric
}

// with opens the record, does the work and closes the record again.
func (f *reviewFlags) with(ctx context.Context, screen *screen, file string, work func(*review) error) error {
	r, err := openReview(ctx, screen, file, f.job)
	if err != nil {
		return err
	}
	return errors.Join(work(r), r.Close())
}

// judging is with, for a command whose exit status tells that findings are open.
func (f *reviewFlags) judging(ctx context.Context, screen *screen, file string, work func(*review) error) error {
	open := 0
	err := f.with(ctx, screen, file, func(r *review) error {
		open = r.book.Open()
		return work(r)
	})
	if err == nil && open > 0 {
		return errFindingsOpen
	}
	return err
}

// feed hands a record to a sink, in the order of the record; but what people typed
// in comes first, because it may hold at a time before it was typed.
func feed(ctx context.Context, reader *record.Reader, sink acquire.Sink, told func(share float64)) error {
	spans, err := reader.Epochs()
	if err != nil {
		return err
	}
	var all, done int64
	for _, span := range spans {
		all += span.Samples
	}
	if err := feedNotes(reader, sink); err != nil {
		return err
	}
	for group, err := range ahead(reader.Groups()) {
		if err == nil {
			err = errors.Join(ctx.Err(), hand(group, sink, &done))
		}
		if err != nil {
			return err
		}
		if all > 0 {
			told(float64(done) / float64(all))
		}
	}
	return nil
}

// feedNotes hands what people typed in to a sink.
func feedNotes(reader *record.Reader, sink acquire.Sink) error {
	events, err := reader.Events()
	for _, event := range events {
		if _, typed := note.Parse(event); typed && err == nil {
			err = sink.Event(event)
		}
	}
	return err
}

// hand gives one group to a sink, and counts its samples.
func hand(group *record.Group, sink acquire.Sink, samples *int64) error {
	for _, source := range group.Sources {
		if err := sink.Source(source); err != nil {
			return err
		}
	}
	for k := range group.Blocks {
		if err := sink.Block(&group.Blocks[k]); err != nil {
			return err
		}
		*samples += int64(group.Blocks[k].Len())
	}
	for _, event := range group.Events {
		if _, typed := note.Parse(event); typed {
			continue
		}
		if err := sink.Event(event); err != nil {
			return err
		}
	}
	return nil
}

// parts hands a record to an export, and keeps what the sources said of themselves.
func (r *review) parts(ctx context.Context, told func(share float64)) iter.Seq2[export.Part, error] {
	return func(yield func(export.Part, error) bool) {
		if err := feed(ctx, r.Reader, partSink(yield), told); err != nil && !errors.Is(err, errEnough) {
			yield(export.Part{}, err)
		}
	}
}

// errEnough ends the reading when the export wants no more.
var errEnough = errors.New("the export has ended")

// partSink turns what a record hands out into the parts of an export.
type partSink func(export.Part, error) bool

func (s partSink) put(p export.Part) error {
	if !s(p, nil) {
		return errEnough
	}
	return nil
}

// Source implements acquire.Sink.
func (s partSink) Source(source series.Source) error { return s.put(export.Part{Source: &source}) }

// Block implements acquire.Sink.
func (s partSink) Block(b *series.Block) error { return s.put(export.Part{Block: b}) }

// Event implements acquire.Sink; events are no part of the samples.
func (s partSink) Event(series.Event) error { return nil }
