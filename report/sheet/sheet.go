// Package sheet freezes the result of a job into one value, which every view of
// it shows: numbers, places, warnings and verdicts, and the words for them that
// more than one view uses. It writes the value as JSON for programs; how it looks
// to people is for the rooms beside it.
//
// Terms. A row is one line of the JSON, its values already in trade units. A
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
	Instruments []calib.Calibration // in force, one a channel of a box; those of the job stand in
	Checks      []*calib.Check      // set-up checks on record, oldest first
	Result      analyze.Result
	// WallTime tells the wall time of a tick, false where it is not known; nil
	// stands for a record whose clock has no date at all.
	WallTime    func(epoch int, tick int64) (time.Time, bool)
	Fingerprint string          // of the record's content; empty where none was taken
	Integrity   Integrity       // of the record
	Simulated   bool            // a virtual box said some of it
	Entries     []inspect.Entry // what people put on record of findings and of machining
	// Photograph gives a picture by its SHA-256, false where it is not there; nil has none.
	Photograph func(sha256 string) (mime string, content []byte, ok bool)
	Made       time.Time // zero leaves it out
	// Zone is that of the reader; nil is UTC. A sheet has the offset from UTC that holds in it as the job begins.
	Zone *time.Location
}

// Sheet is one frozen job. It shares nothing that a later analysis may change.
type Sheet struct {
	Record      string
	Fingerprint string
	Integrity   Integrity
	Simulated   bool // a virtual box said some of it
	Made        time.Time
	Job         procedure.Job
	Source      series.Source
	Instruments []calib.Calibration
	Checks      []*calib.Check
	Passes      []Pass
	Findings    []Finding
	Events      []Event // the findings by their causes
	Warnings    []Warning
	Sweeps      []byangle.Sweep
	Typed       []Typed
	Wall        *bore.Map // nil where there is none
	Melting     *waveform.Melting
	Charts      []finding.PassChart
	Proof       proof.Proof
	Book        inspect.Book
	Photograph  func(sha256 string) (mime string, content []byte, ok bool)
	units       Units // of the sentences; see In
}

// Pass is a pass with the times at which it began and ended.
type Pass struct {
	pass.Pass
	Began, Ended Instant
	AngleBy      string // what its angles rest on; empty where there are none
}

// Finding is a finding with the time at which it began.
type Finding struct {
	finding.Finding
	Began Instant
	Open  bool   // somebody has still to do something
	State string // how it stands
	Event int    // number of the event that it belongs to
}

// Warning is a doubt with its times, where it has any.
type Warning struct {
	analyze.Warning
	Began, Ended Instant
}

// New freezes a result. It panics without a job.
func New(in Input) *Sheet {
	if in.Job == nil {
		panic("sheet: an input without a job")
	}
	zone := in.steady()
	s := &Sheet{
		Record:      in.RecordName,
		Fingerprint: in.Fingerprint,
		Integrity:   in.Integrity,
		Simulated:   in.Simulated || in.Source.Simulated(),
		Made:        in.Made.In(zone),
		Wall:        in.Result.Map,
		Job:         *in.Job,
		Source:      in.Source,
		Sweeps:      slices.Clone(in.Result.Sweeps),
		Instruments: standIn(in.Job.Instruments, in.Instruments),
		Checks:      ChecksIn(in.Checks, zone),
		Book:        inspect.Fold(ownEntries(in.Entries, zone), in.Result.Findings),
		Photograph:  in.Photograph,
	}
	s.Integrity.Since = s.Integrity.Since.In(zone)
	s.Melting, s.Charts = clone(in.Result.Melting), slices.Clone(in.Result.Charts)
	clock := wallClock{in.WallTime, zone}
	for _, p := range in.Result.Passes {
		s.Passes = append(s.Passes, Pass{own(p), clock.at(p.Start), clock.at(p.End), clock.angleBy(p.Rotation)})
	}
	s.Proof = prove(&s.Job, s.Passes, clock)
	for k, f := range in.Result.Findings {
		f.Place, f.Way = clone(f.Place), clone(f.Way)
		s.Findings = append(s.Findings, Finding{Finding: f, Began: clock.at(f.Start), Open: s.Book.Findings[k].State.IsOpen(), State: string(s.Book.Findings[k].State)})
	}
	s.Events = s.eventsOf()
	for _, w := range in.Result.Warnings {
		timed := Warning{Warning: w}
		if w.Start != (pass.Moment{}) || w.End != (pass.Moment{}) {
			timed.Began, timed.Ended = clock.at(w.Start), clock.at(w.End)
		}
		s.Warnings = append(s.Warnings, timed)
	}
	s.Typed = typedIn(in.Result.Notes, clock)
	return s
}

// standIn adds the calibrations of a job for the channels of which there is none.
func standIn(job, instruments []calib.Calibration) []calib.Calibration {
	all := slices.Clone(instruments)
	for _, c := range job {
		if !slices.ContainsFunc(instruments, func(other calib.Calibration) bool { return other.Channel == c.Channel }) {
			all = append(all, c)
		}
	}
	return all
}

// PassStart returns the wall time at which the k-th pass began, to the
// nanosecond, and whether it is known.
func (s *Sheet) PassStart(k int) (time.Time, bool) {
	return s.Passes[k].Began.Wall, s.Passes[k].Began.Dated
}

// FindingStart returns the wall time at which the k-th finding began, to the
// nanosecond, and whether it is known.
func (s *Sheet) FindingStart(k int) (time.Time, bool) {
	return s.Findings[k].Began.Wall, s.Findings[k].Began.Dated
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
