package main

import (
	"context"
	"errors"
	"math"
	"path/filepath"
	"slices"

	"arctally/acquire/calib"
	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/inspect"
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
