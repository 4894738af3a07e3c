package analyze

import (
	"fmt"
	"time"

	"arctally/acquire/quantity"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// Proof is what a record proves of the heat input of a whole job, and what not.
// It speaks of the mean of each pass; deviations within a pass are findings. It
// never accepts anything.
type Proof struct {
	Claim  string // what would be proved, in one sentence
	Rule   string // by which rule
	Passes []PassProof
	Layers []LayerProof
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

// PassProof is the proof of one pass.
type PassProof struct {
	Number, Layer int
	Proved        bool
	Verdict       heat.Verdict
	// Value is what the limits are about, heat input or arc energy, with its
	// expanded uncertainty; nil is not known.
	Value, Expanded *quantity.JoulesPerMetre
	// Conformity is the probability that the true value lies within the window.
	Conformity *float64
	Reasons    []Reason // why it is not proved
	Remarks    []Reason // what it rests on all the same
	// Area is the wall that the pass covers: bead path times pitch. Share is that
	// over the area of the bore at the diameter of the layer. Nil without a bore.
	Area  *quantity.SquareMetres
	Share *quantity.Ratio
}

// LayerProof is how much of the bore the passes of a layer cover.
type LayerProof struct {
	Layer   int
	Area    quantity.SquareMetres // of the bore at the layer's diameter
	Planned quantity.Ratio        // share that the gaps leave to be welded
	Laid    quantity.Ratio
	Proved  quantity.Ratio
}

// Missing is one reason and the passes that it keeps from being proved.
type Missing struct {
	Kind   ReasonKind
	Passes []int
	Remedy string // what would close it the next time
}

// Dated tells the wall time of a moment, false where it is not known.
type Dated func(pass.Moment) (time.Time, bool)

// Prove weighs the passes of a job against the heat input that its procedure
// allows. A pass is proved where its verdict is within, and where nothing that
// the verdict rests on is a guess: see Reason. Dated may be nil.
func Prove(job *procedure.Job, passes []pass.Pass, dated Dated) Proof {
	if dated == nil {
		dated = func(pass.Moment) (time.Time, bool) { return time.Time{}, false }
	}
	proof := Proof{Claim: claim(job), Rule: heat.DecisionRule(job.Procedure.Judge.GuardBand, leastKnown(passes))}
	for i := range passes {
		p := proveOne(job, &passes[i], dated)
		if p.Proved {
			proof.Proved++
		}
		proof.Passes = append(proof.Passes, p)
	}
	proof.missing()
	proof.areas(job, passes)
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

func kJPerMM(q quantity.JoulesPerMetre) string { return quantity.Text(q, "kJ/mm", 3) }

// proveOne proves one pass.
func proveOne(job *procedure.Job, p *pass.Pass, dated Dated) PassProof {
	proof := PassProof{Number: p.Number, Layer: p.Layer, Verdict: p.Verdict, Value: p.HeatInput}
	if job.Procedure.Judge.Definition == procedure.ArcEnergy {
		proof.Value = p.ArcEnergy
	}
	window := job.Procedure.Limits.HeatInput
	if proof.Value != nil && p.Budget != nil {
		u := p.Budget.Expanded(*proof.Value)
		proof.Expanded = &u
		if !window.IsZero() {
			chance := heat.Conformity(*proof.Value, p.Budget.Standard(*proof.Value), window)
			proof.Conformity = &chance
		}
	}
	w := weighing{job: job, pass: p, proof: &proof, dated: dated}
	w.verdict()
	w.instruments()
	w.circumstances()
	proof.Proved = len(proof.Reasons) == 0
	return proof
}

// missing gathers the reasons of all passes.
func (p *Proof) missing() {
	at := map[ReasonKind]int{}
	for _, one := range p.Passes {
		for _, r := range one.Reasons {
			k, known := at[r.Kind]
			if !known {
				k = len(p.Missing)
				at[r.Kind] = k
				p.Missing = append(p.Missing, Missing{Kind: r.Kind, Remedy: remedies[r.Kind]})
			}
			m := &p.Missing[k]
			if n := len(m.Passes); n == 0 || m.Passes[n-1] != one.Number {
				m.Passes = append(m.Passes, one.Number)
			}
		}
	}
}
