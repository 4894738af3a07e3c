package analyze

import "arctally/analyze/now"

// Now returns what is true at this moment. It changes nothing, and costs as much
// whatever the length of the record; like all of a Run, it is for one goroutine at a
// time.
func (r *Run) Now() now.Status {
	s := r.now.Status()
	s.Newest, s.Passes, s.Findings, s.Warnings = r.lanes.newest, len(r.passes), len(r.watch.Found()), r.countWarnings()
	return s
}

// Turn returns the turn that is being laid; it costs as much as Now.
func (r *Run) Turn() now.Turn { return r.now.Turn() }

// warned is the number of warnings, and what there was to warn of when they were
// counted.
type warned struct {
	of    doubtful
	count int
}

// doubtful tells whether there can be more warnings than there were.
type doubtful struct {
	events, passes, held, eras       int
	skipped, late, carried, diameter bool
}

// countWarnings counts them anew only where a pass has ended, or there may be
// another one.
func (r *Run) countWarnings() int {
	d := r.splitter.Doubts()
	of := doubtful{
		events: len(r.events), passes: len(r.passes), held: len(d.Held), eras: len(r.eras),
		skipped: d.Skipped > 0, late: r.late > 0, carried: d.CarriedAngles > 0, diameter: d.Diameter != nil,
	}
	if r.warned.count == 0 || of != r.warned.of {
		r.warned = warned{of, len(r.warnings())}
	}
	return r.warned.count
}
