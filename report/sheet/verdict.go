package sheet

import (
	"arctally/acquire/quantity"
	"arctally/analyze/heat"
)

func ShortVerdict(v heat.Verdict) string {
	switch v {
	case heat.Within:
		return "within"
	case heat.WithinNearLimit:
		return "within*"
	case heat.OutsideNearLimit:
		return "outside*"
	case heat.Outside:
		return "outside"
	default:
		return "unjudged"
	}
}

// Judged is the quantity that the procedure's limits are about, and its
// expanded uncertainty. The uncertainty is relative by nature and k is taken as
// exact, so that, where a pass has no budget, that of E follows from that of Q:
//
//	U(E) = U(Q)*E/Q
func (s *Sheet) Judged(p *Pass) (value, expanded *quantity.JoulesPerMetre) {
	if !s.ArcEnergyRules() {
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

// The classes of a verdict name its sign: a shape that is told apart in grey.
const (
	SignWithin   = "within"
	SignNear     = "near"
	SignNearOut  = "nearout"
	SignOutside  = "outside"
	SignUnjudged = "unjudged"
)

func VerdictSign(v heat.Verdict) string {
	switch v {
	case heat.Within:
		return SignWithin
	case heat.WithinNearLimit:
		return SignNear
	case heat.OutsideNearLimit:
		return SignNearOut
	case heat.Outside:
		return SignOutside
	default:
		return SignUnjudged
	}
}

func VerdictText(v heat.Verdict) string {
	switch v {
	case heat.Within:
		return "within"
	case heat.WithinNearLimit:
		return "within, near limit"
	case heat.OutsideNearLimit:
		return "outside, near limit"
	case heat.Outside:
		return "outside"
	default:
		return "not judged"
	}
}

// VerdictCount is how many passes have a verdict.
type VerdictCount struct {
	Sign, Words string
	Count       int
}

func (s *Sheet) VerdictCounts() []VerdictCount {
	t := s.tally()
	return []VerdictCount{
		{SignWithin, "within", t.within},
		{SignNear, "within, closer to a limit than the guard band", t.near},
		{SignNearOut, "outside, closer to a limit than the guard band", t.nearOut},
		{SignOutside, "outside", t.outside},
		{SignUnjudged, "not judged", t.unjudged},
	}
}

// Sign is the shape beside the headline: that of the worst thing in the job.
func (s *Sheet) Sign() string {
	t := s.tally()
	switch {
	case t.outside > 0:
		return SignOutside
	case t.nearOut > 0 || s.openFindings() > 0:
		return SignNearOut
	case len(s.Passes) == 0 || t.unjudged > 0:
		return SignUnjudged
	case t.near > 0:
		return SignNear
	default:
		return SignWithin
	}
}
