// Package analyze turns blocks of samples and a job into passes, findings and
// warnings. It is the one analysis of the program: the live screen, the review
// and the report run it over the same samples and get the same bits.
package analyze

import (
	"arctally/acquire/calib"
	"arctally/analyze/bore"
	"arctally/analyze/byangle"
	"arctally/analyze/compare"
	"arctally/analyze/event"
	"arctally/analyze/finding"
	"arctally/analyze/note"
	"arctally/analyze/pass"
	"arctally/analyze/waveform"
)

// Warning is a doubt about a measurement; it is shown, and stops nothing.
type Warning struct {
	Kind  string // gap, clock-back, held, assumed, ...
	Pass  int    // 0 where it belongs to no pass
	Start pass.Moment
	End   pass.Moment
	Count int64
	Text  string // one sentence for a person
}

// Result is what the samples say so far.
type Result struct {
	Passes   []pass.Pass
	Findings []finding.Finding
	Events   []event.Event // of the findings: those of one cause
	Warnings []Warning
	Notes    []note.Note         // what people typed in, by the time for which it holds
	Map      *bore.Map           // the wall unrolled; nil where there is no bore to map
	Profiles []*compare.Profile  // of each pass, bin by bin of its way
	Sweeps   []byangle.Sweep     // what the arc does by angle
	Charts   []finding.PassChart // of what the waveform comes to from pass to pass
	Speakers calib.Speakers      // who spoke
	Judged   finding.Judged      // the means that were held against the limits
	Melting  *waveform.Melting   // of the wire in the good passes; nil where it is not known
}
