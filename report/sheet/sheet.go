// Package sheet knows what goes on the paper: it freezes the result of a job
// into one value and renders that as JSON for programs, as aligned tables for a
// terminal and as a self-contained HTML weld record for people.
//
// Terms. A row is one line of the sheet, its values already in trade units. A
// quantity that is not known is null in JSON, a dash on paper; it is never zero
// and never NaN. What a value rests on (measured, derived, declared, averaged)
// stands beside it.
//
// The sheet of the same record is the same to the last byte: the time of making
// is handed in, and left out when it is not.
//
// Errors: only those of the writer, wrapped once. A missing job is a caller's
// bug and panics.
package sheet

import (
	"slices"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/bore"
	"arctally/analyze/byangle"
	"arctally/analyze/finding"
	"arctally/analyze/inspect"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
	"arctally/analyze/proof"
	"arctally/analyze/waveform"
)

// Input is everything that a sheet is made from.
type Input struct {
	RecordName  string
	Job         *procedure.Job
	Source      series.Source
	Instruments []calib.Calibration // in force, one a channel; those of the job stand in
	Checks      []*calib.Check      // set-up checks on record, oldest first
	Result      analyze.Result
	// WallTime tells the wall time of a tick, false where it is not known; nil
	// stands for a record whose clock has no date at all.
	WallTime    func(epoch int, tick int64) (time.Time, bool)
	Fingerprint string          // of the record's content; empty where none was taken
	Entries     []inspect.Entry // what people put on record of findings and of machining
	// Photograph gives a picture by its SHA-256, false where it is not there; nil has none.
	Photograph func(sha256 string) (mime string, content []byte, ok bool)
	Made       time.Time // zero leaves it out
}

// Sheet is one frozen job. It shares nothing that a later analysis may change.
type Sheet struct {
	record      string
	fingerprint string
	made        time.Time
	job         procedure.Job
	source      series.Source
	instruments []calib.Calibration
	checks      []*calib.Check
	passes      []passEntry
	findings    []findingEntry
	warnings    []warningEntry
	sweeps      []byangle.Sweep
	typed       []typedEntry
	wall        *bore.Map // nil where there is none
	melting     *waveform.Melting
	charts      []finding.PassChart
	proof       proof.Proof
	book        inspect.Book
	photograph  func(sha256 string) (mime string, content []byte, ok bool)
	units       Units // of the weld record
}

type passEntry struct {
	pass.Pass
	start, end instant
}

type findingEntry struct {
	finding.Finding
	start instant
	open  bool // somebody has still to do something
}

type warningEntry struct {
	analyze.Warning
	start, end instant
}

// New freezes a result. It panics without a job.
func New(in Input) *Sheet {
	if in.Job == nil {
		panic("sheet: an input without a job")
	}
	s := &Sheet{
		record:      in.RecordName,
		fingerprint: in.Fingerprint,
		made:        in.Made,
		wall:        in.Result.Map,
		job:         *in.Job,
		source:      in.Source,
		sweeps:      slices.Clone(in.Result.Sweeps),
		instruments: calib.InForce(in.Job.Instruments, in.Instruments...),
		checks:      in.Checks,
		book:        inspect.Fold(ownEntries(in.Entries), in.Result.Findings),
		photograph:  in.Photograph,
	}
	s.melting, s.charts = clone(in.Result.Melting), slices.Clone(in.Result.Charts)
	clock := wallClock(in.WallTime)
	for _, p := range in.Result.Passes {
		s.passes = append(s.passes, passEntry{own(p), clock.at(p.Start), clock.at(p.End)})
	}
	s.proof = s.prove(clock)
	for k, f := range in.Result.Findings {
		f.Place = clone(f.Place)
		s.findings = append(s.findings, findingEntry{f, clock.at(f.Start), s.book.Findings[k].State.IsOpen()})
	}
	for _, w := range in.Result.Warnings {
		entry := warningEntry{Warning: w}
		if w.Start != (pass.Moment{}) || w.End != (pass.Moment{}) {
			entry.start, entry.end = clock.at(w.Start), clock.at(w.End)
		}
		s.warnings = append(s.warnings, entry)
	}
	s.typed = typedEntries(in.Result.Notes, clock)
	return s
}

// In returns the same sheet whose weld record is written in other units.
// What was said once and for all stays metric, such as a claim, and so does JSON.
func (s *Sheet) In(u Units) *Sheet {
	other := *s
	other.units = u
	return &other
}

// JobName returns the name of the job.
func (s *Sheet) JobName() string { return s.job.Name }

// Fingerprint returns that of the record's content, empty where none was taken.
func (s *Sheet) Fingerprint() string { return s.fingerprint }

// PassStart returns the wall time at which the k-th pass began, to the
// nanosecond, and whether it is known.
func (s *Sheet) PassStart(k int) (time.Time, bool) {
	return s.passes[k].start.wall, s.passes[k].start.dated
}

// FindingStart returns the wall time at which the k-th finding began, to the
// nanosecond, and whether it is known.
func (s *Sheet) FindingStart(k int) (time.Time, bool) {
	return s.findings[k].start.wall, s.findings[k].start.dated
}

func own(p pass.Pass) pass.Pass {
	p.VoltageMean, p.CurrentMean, p.PowerMean = clone(p.VoltageMean), clone(p.CurrentMean), clone(p.PowerMean)
	p.Wire, p.Deposit = clone(p.Wire), clone(p.Deposit)
	p.StartPlace, p.EndPlace = clone(p.StartPlace), clone(p.EndPlace)
	p.Turns, p.Travel, p.TravelSpeed = clone(p.Turns), clone(p.Travel), clone(p.TravelSpeed)
	p.ArcEnergy, p.HeatInput = clone(p.ArcEnergy), clone(p.HeatInput)
	p.ExpandedUncertainty = clone(p.ExpandedUncertainty)
	p.Waveform = clone(p.Waveform)
	p.Course.Off = clone(p.Course.Off)
	p.AtStart = pass.AtStart{Temperature: clone(p.AtStart.Temperature), GasFlow: clone(p.AtStart.GasFlow)}
	p.Budget = slices.Clone(p.Budget)
	return p
}

func clone[T any](p *T) *T {
	if p == nil {
		return nil
	}
	c := *p
	return &c
}
