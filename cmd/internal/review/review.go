// Package review reads a record as people see it: judged by its job or another one,
// with what they put on record after welding, and in every form in which it goes
// out. It also puts their notes and entries into the record.
//
// Terms. To feed is to hand a record to a sink as a recording would have. An entry
// is what a person found and decided; a note is what a person measured or saw while
// it was welded, and holds from a moment on.
package review

import (
	"cmp"
	"context"
	"errors"
	"path/filepath"
	"slices"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/inspect"
	"arctally/analyze/rotation"
	"arctally/cmd/internal/jobfile"
	"arctally/report/picture"
	"arctally/report/sheet"
)

// Review is a record and what the analysis says of it.
type Review struct {
	*record.Reader
	File        string
	jobFile     string // that it is judged by in place of its own; empty is none
	plan        *jobfile.File
	Calibration []calib.Timed // of the job file and of checks, in the order of time
	Checks      []*calib.Check
	speakers    calib.Speakers
	Sources     []series.Source
	Result      analyze.Result // where it was kept, Judged and Profiles are apart
	apart       *apart
	taping      *taping         // while it is judged by its samples
	Entries     []inspect.Entry // what people put on record
	Book        inspect.Book    // of them, over the findings
	fingerprint string
	opened      time.Time // before the reader was; zero is not known
	integrity   sheet.Integrity
	name        string         // by which sheets call the record; empty is that of its file
	zone        *time.Location // in which they tell times; nil is that of this machine
}

// Judge reads a record and judges it, by the job that is in it or by another one;
// told hears how far it is, from 0 to 1. What was judged before, and kept on the shelf of
// the context, is not judged again while nothing has changed; another limit is judged from
// what the samples came to then. The caller closes the review.
func Judge(ctx context.Context, file, jobFile string, told func(share float64)) (*Review, error) {
	return newReview(file, jobFile, func(r *Review, run *analyze.Run) error {
		return r.judgeOnce(ctx, func() error { return r.judgeWhole(ctx, run, told) })
	})
}

// judgeWhole judges the record, and judges it again where something was heard only later
// that holds from before.
func (r *Review) judgeWhole(ctx context.Context, run *analyze.Run, told func(share float64)) error {
	if err := r.judgeBy(ctx, run, nil, told); err != nil {
		return err
	}
	said, late := run.Heard()
	if !late {
		return nil
	}
	anew, err := r.prepare(r.jobFile)
	if err != nil {
		return err
	}
	return r.judgeBy(ctx, anew, said, told)
}

// judgeBy has an analysis judge all of the record, beginning with what was heard before.
func (r *Review) judgeBy(ctx context.Context, run *analyze.Run, heard []rotation.Said, told func(share float64)) error {
	r.taping.begin(run)
	run.Begin(heard)
	err := Feed(ctx, r.Reader, run, told)
	r.judgedAs(run.Finish())
	return err
}

// newReview opens a record, has it judged, and reads what people put into it.
func newReview(file, jobFile string, judge func(*Review, *analyze.Run) error) (*Review, error) {
	opened := time.Now()
	reader, err := record.Open(file)
	if err != nil {
		return nil, err
	}
	r := &Review{Reader: reader, File: file, jobFile: jobFile, opened: opened}
	prepared, err := r.prepare(jobFile)
	if err == nil {
		r.Sources, err = r.Reader.Sources()
	}
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

// JudgedLive is the review of a record that was judged while it was recorded:
// reading it again would give the same bits.
func JudgedLive(file string, result analyze.Result) (*Review, error) {
	return newReview(file, "", func(r *Review, _ *analyze.Run) error {
		r.judgedAs(result)
		return nil
	})
}

// OpenUnjudged opens a record with its calibrations. The caller closes it.
func OpenUnjudged(file string) (*Review, error) { return unjudged(file, record.Open) }

// OpenSamples is OpenUnjudged for who asks for no wall time.
func OpenSamples(file string) (*Review, error) { return unjudged(file, record.OpenSamples) }

func unjudged(file string, open func(string) (*record.Reader, error)) (*Review, error) {
	opened := time.Now()
	reader, err := open(file)
	if err != nil {
		return nil, err
	}
	r := &Review{Reader: reader, File: file, opened: opened}
	if _, err := r.prepare(""); err != nil {
		return nil, errors.Join(err, reader.Close())
	}
	return r, nil
}

// Again is a review whose reader is closed with a reader of its own, and with what
// people have put on record by now. The caller closes it.
func (r *Review) Again() (*Review, error) {
	opened := time.Now()
	reader, err := record.Open(r.File)
	if err != nil {
		return nil, err
	}
	own := new(*r)
	own.Reader, own.opened = reader, opened
	if err := own.readPeople(); err != nil {
		return nil, errors.Join(err, reader.Close())
	}
	return own, nil
}

// prepare reads what a record is judged by.
func (r *Review) prepare(jobFile string) (prepared *analyze.Run, err error) {
	own, err := jobfile.OfRecord(r.File, r.Meta())
	if r.plan = own; jobFile != "" {
		if r.plan, err = jobfile.Read(jobFile); own == nil {
			own = r.plan // a job that can no longer be read has nothing to say
		}
	}
	if err != nil {
		return nil, err
	}
	first := calib.InForce(own.Job.Instruments, r.plan.Job.Instruments...)
	later, err := LaterCalibrations(r.Reader, own)
	if err != nil {
		return nil, err
	}
	r.Calibration = append(fromTheStart(first), later...)
	if r.Checks, err = r.Reader.Checks(); err != nil {
		return nil, err
	}
	if r.speakers, err = r.Reader.Speakers(); err != nil {
		return nil, err
	}
	prepared = analyze.New(r.plan.Job, first)
	Calibrate(prepared, later)
	return prepared, nil
}

// readPeople reads what people put on record after welding.
func (r *Review) readPeople() (err error) {
	if r.Entries, err = ReadEntries(r.Reader); err != nil {
		return err
	}
	r.Book = inspect.Fold(r.Entries, r.Result.Findings)
	r.fingerprint, err = r.Fingerprint()
	return err
}

// Register is the calibrations with who spoke.
func (r *Review) Register() calib.Register {
	return calib.Register{All: r.Calibration, Speakers: r.speakers}
}

// Source is what the box that tells the arc said of itself last; false where it has not.
func (r *Review) Source() (series.Source, bool) {
	for _, s := range slices.Backward(r.Sources) {
		if s.Box == 0 {
			return s, true
		}
	}
	return series.Source{}, false
}

// AsHandedOver has sheets call the record by a name, and tell times in UTC: so they are the same on
// every machine, and under whatever name the file lies there.
func (r *Review) AsHandedOver(name string) { r.name, r.zone = name, time.UTC }

// Sheet is the review as people read it.
func (r *Review) Sheet() *sheet.Sheet {
	in := sheet.Input{
		RecordName: cmp.Or(r.name, filepath.Base(r.File)), Job: r.plan.Job, Instruments: r.Register().InForce(),
		Checks: r.Checks, Result: r.Result, WallTime: r.WallTime, Fingerprint: r.fingerprint,
		Entries: r.Entries, Photograph: r.photograph, Zone: cmp.Or(r.zone, time.Local),
	}
	in.Source, _ = r.Source()
	in.Integrity, in.Simulated = r.integrity, slices.ContainsFunc(r.Sources, func(s series.Source) bool { return s.Simulated() })
	setUp := analyze.Setup{Calibrations: r.Calibration, Checks: r.Checks, Speakers: r.speakers, WallTime: r.WallTime}
	in.Result.Warnings = append(slices.Clip(in.Result.Warnings), setUp.Doubts(in.Result.Passes)...)
	return sheet.New(in)
}

// photograph gives a picture of the record as it is shown; false where it is not there, or
// not what it was, and without content where it cannot be shown.
func (r *Review) photograph(digest string) (mime string, content []byte, ok bool) {
	mime, content, err := r.Photograph(digest)
	if err != nil {
		return "", nil, false
	}
	if shown, anew, err := picture.Shown(content); err == nil {
		return shown, anew, true
	}
	return mime, nil, true
}
