// Package finding knows what counts as a deviation from the plan, and where in
// the bore it is. A finding is open until a person records a disposition; the
// program flags, it never accepts.
//
// Terms. A rule is one row of the table in rules.go: its limit, its unit, its
// sentence, where a technician looks, the likeliest cause. A judge listens to the
// passes and holds what happens against one kind of limit; Watch joins the judges.
// A reading is the value of a channel and the short time that it stands for. A
// deviation is a mean out of its limits, from where it began to where it was over. A look
// is half a second of the waveform; a streak is looks in a row that break one
// limit; an oddity is a time in which the looks are unlike those of the good
// passes. A good pass is one without a finding. The usual mode is the one in which the arc of
// a job transfers its metal, by its good passes, else by most of its looks: each mode is judged by
// what means something in it. Something comes alone where wire, voltage or current should go
// with something else, and do not.
//
// A channel deviates when its mean over the procedure's window,
//
//	m = sum( w[k]*x[k] ) / sum( w[k] )
//
// has been out of its limits for at least the dwell, with the readings x and the
// time w for which each stands (ours: the definition of a mean). Single samples of
// a dipping arc are never judged. The formula by which a deviation is dated stands
// at change, those of the control charts in the package chart.
//
// The package has no errors: what is not known is not judged, and Unreferenced
// says so where a person would expect it to be.
package finding

import (
	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/pass"
)

// Finding is one deviation.
type Finding struct {
	Number int
	Rule   Rule
	Pass   int         // number of the pass
	Layer  int         // 0 is not known
	Place  *bore.Place // where it began; nil where the angle is not known, and of what concerns a whole pass
	// Way is how far the torch turned while it lasted, anti-clockwise below 0; nil is not known.
	Way      *quantity.Degrees
	Start    pass.Moment
	Duration quantity.Seconds
	Worst    float64 // worst value, SI unit of the rule
	Limit    float64 // the limit that it passed, same unit
	Beyond   float64 // Worst - Limit, signed
	Parts    []int   // numbers of the findings that this one is about
	PartOf   int     // number of the finding that sums this one up; 0 is none
	// FromStart is set where it was so as the pass began, ToEnd where it was still so as the
	// pass ended. Of an open pass nobody knows yet.
	FromStart, ToEnd bool
	By               string // who typed the value in; empty where it was measured
	Sentence         string // for a technician: what, where, how far, what to look at
}

// Whole reports whether the finding concerns a whole pass: it has no angle of its own.
func (f *Finding) Whole() bool { return f.FromStart && f.ToEnd }

// Below reports whether the value lies below its limit; else it lies above.
func (f *Finding) Below() bool { return f.Worst < f.Limit }

// from and until are the ends of a finding in s on the clock of its epoch.
func (f *Finding) from() float64  { return float64(f.Start.Tick) * 1e-9 }
func (f *Finding) until() float64 { return f.from() + float64(f.Duration) }
