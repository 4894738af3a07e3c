// Package proof knows what a record proves of the heat input of a job, and what is
// missing for the rest.
//
// Terms. A pass is proved where its verdict is within, and where nothing that the
// verdict rests on is a guess. A Reason keeps a pass from being proved; a remark is
// what a proved pass rests on all the same. A remedy is what would take a reason
// away the next time.
//
// A proof speaks of the mean of each pass; deviations within a pass are findings. It
// never accepts anything. Errors: there are none; what is missing is the answer.
package proof

import (
	"fmt"
	"time"

	"arctally/acquire/quantity"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// Proof is what a record proves of a whole job, and what not.
type Proof struct {
	Claim  string // what would be proved, in one sentence
	Rule   string // by which rule
	Passes []OfPass
	Layers []OfLayer
	// Missing lists what keeps passes from being proved, each reason once, in the
	// order of its first pass.
	Missing []Missing
	Proved  int // passes
	// Laid is the area of all passes, bead path times pitch; ProvedArea is the
	// part of it that lies in proved passes. Both are nil where there is no bore.
	Laid, ProvedArea *quantity.SquareMetres
}

// Whole reports whether every pass is proved, and there is one.
func (p Proof) Whole() bool { return len(p.Passes) > 0 && p.Proved == len(p.Passes) }

// Missing is one reason and the passes that it keeps from being proved.
type Missing struct {
	Kind   Kind
	Passes []int
	Remedy string // what would close it the next time
}

// WallTime tells the wall time of a moment, false where it is not known.
type WallTime func(pass.Moment) (time.Time, bool)

// Of weighs the passes of a job against the heat input that its procedure allows.
// WallTime may be nil.
func Of(job *procedure.Job, passes []pass.Pass, wallTime WallTime) Proof {
	if wallTime == nil {
		wallTime = func(pass.Moment) (time.Time, bool) { return time.Time{}, false }
	}
	proof := Proof{Claim: claim(job), Rule: heat.DecisionRule(job.Procedure.Judge.GuardBand, leastKnown(passes))}
	for i := range passes {
		p := ofPass(job, &passes[i], wallTime)
		if p.Proved {
			proof.Proved++
		}
		proof.Passes = append(proof.Passes, p)
	}
	proof.Missing = missing(proof.Passes)
	proof.Layers, proof.Laid, proof.ProvedArea = cover(job, passes, proof.Passes)
	return proof
}

// leastKnown is the greatest standard uncertainty of a pass, as a share.
func leastKnown(passes []pass.Pass) float64 {
	worst := 0.0
	for i := range passes {
		worst = max(worst, passes[i].Budget.Combined())
	}
	return worst
}

func claim(job *procedure.Job) string {
	what := "the heat input Q = k*E (EN 1011-1)"
	if job.Procedure.Judge.Definition == procedure.ArcEnergy {
		what = "the arc energy E = W/s (the heat input of the American codes)"
	}
	window := job.Procedure.Limits.HeatInput
	if window.IsZero() {
		return fmt.Sprintf("none: procedure %s has no limit of heat input", job.Procedure.Name)
	}
	return fmt.Sprintf("%s of each pass, energy over net path length, lies within the window of procedure %s, %s",
		what, job.Procedure.Name, windowText(window))
}

func windowText(w quantity.Range[quantity.JoulesPerMetre]) string {
	switch {
	case !w.HasLow:
		return "at most " + kJPerMM(w.High)
	case !w.HasHigh:
		return "at least " + kJPerMM(w.Low)
	default:
		return fmt.Sprintf("%.3f to %s", quantity.In(w.Low, "kJ/mm"), kJPerMM(w.High))
	}
}

// missing gathers the reasons of all passes.
func missing(passes []OfPass) (all []Missing) {
	at := map[Kind]int{}
	for _, one := range passes {
		for _, r := range one.Reasons {
			k, known := at[r.Kind]
			if !known {
				k = len(all)
				at[r.Kind] = k
				all = append(all, Missing{Kind: r.Kind, Remedy: remedies[r.Kind]})
			}
			m := &all[k]
			if n := len(m.Passes); n == 0 || m.Passes[n-1] != one.Number {
				m.Passes = append(m.Passes, one.Number)
			}
		}
	}
	return all
}
