package sheet

import (
	"arctally/acquire/quantity"
	"arctally/analyze/heat"
)

// Verdict is a verdict in the words of each view. Its sign names a shape that is
// told apart in grey.
type Verdict struct {
	Of          heat.Verdict
	Sign, Words string
	Short       string // for a column; a star is closer than the guard band
	Sentence    string // behind a number of passes
	Passes      int    // that have it; of a job
}

// The signs. That of a job is the sign of the worst thing in it.
const (
	SignWithin   = "within"
	SignNear     = "near"
	SignNearOut  = "nearout"
	SignOutside  = "outside"
	SignUnjudged = "unjudged"
)

// verdicts are all of them; the last one stands for whatever is none of the others.
var verdicts = [...]Verdict{
	{Of: heat.Within, Sign: SignWithin, Words: "within", Short: "within", Sentence: "within"},
	{Of: heat.WithinNearLimit, Sign: SignNear, Words: "within, near limit", Short: "within*", Sentence: "within, closer to a limit than the guard band"},
	{Of: heat.OutsideNearLimit, Sign: SignNearOut, Words: "outside, near limit", Short: "outside*", Sentence: "outside, closer to a limit than the guard band"},
	{Of: heat.Outside, Sign: SignOutside, Words: "outside", Short: "outside", Sentence: "outside"},
	{Sign: SignUnjudged, Words: "not judged", Short: "unjudged", Sentence: "not judged"},
}

// The places of the verdicts in a count of them.
const (
	within = iota
	near
	nearOut
	outside
	unjudged
)

func verdictPlace(v heat.Verdict) int {
	for k := range unjudged {
		if verdicts[k].Of == v {
			return k
		}
	}
	return unjudged
}

// VerdictOf gives the words of a verdict.
func VerdictOf(v heat.Verdict) Verdict { return verdicts[verdictPlace(v)] }

// Verdicts are all verdicts, from within to not judged, with the passes of the job
// that have each.
func (s *Sheet) Verdicts() []Verdict {
	counts := verdicts
	for i := range s.Passes {
		counts[verdictPlace(s.Passes[i].Verdict)].Passes++
	}
	return counts[:]
}

// Sign is that of the worst thing in the job.
func (s *Sheet) Sign() string {
	v := s.Verdicts()
	switch {
	case v[outside].Passes > 0:
		return SignOutside
	case v[nearOut].Passes > 0 || s.Book.Open() > 0:
		return SignNearOut
	case len(s.Passes) == 0 || v[unjudged].Passes > 0:
		return SignUnjudged
	case v[near].Passes > 0:
		return SignNear
	default:
		return SignWithin
	}
}

// Judged is the quantity that the procedure's limits are about, and its
// expanded uncertainty. The uncertainty is relative by nature and k is taken as
// exact, so that, where a pass has no budget, that of E follows from that of Q:
//
//	U(E) = U(Q)*E/Q
func (s *Sheet) Judged(p *Pass) (value, expanded *quantity.JoulesPerMetre) {
	if !s.JudgesArcEnergy() {
		return p.HeatInput, p.ExpandedUncertainty
	}
	if p.ArcEnergy != nil && p.Budget != nil {
		return p.ArcEnergy, new(p.Budget.Expanded(*p.ArcEnergy))
	}
	if p.ArcEnergy == nil || p.HeatInput == nil || p.ExpandedUncertainty == nil || *p.HeatInput == 0 {
		return p.ArcEnergy, nil
	}
	u := *p.ExpandedUncertainty * *p.ArcEnergy / *p.HeatInput
	return p.ArcEnergy, &u
}
