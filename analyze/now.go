package analyze

import "arctally/analyze/now"

// Now returns what is true at this moment. It changes nothing, and costs as much
// whatever the length of the record; like all of a Run, it is for one goroutine at a
// time.
func (r *Run) Now() now.Status {
	s := r.now.Status()
	s.Newest, s.Passes, s.Findings, s.Warnings = r.order.newest, len(r.passes), len(r.judge.Found()), r.countWarnings()
	return s
}

// Turn returns the turn that is being laid; it costs as much as Now.
func (r *Run) Turn() now.Turn { return r.now.Turn() }

// Trail is what was laid, cell by cell, for who looks on; New keeps none of it.
func (r *Run) Trail() *now.Trail { return r.byPiece.trail }
