package sheet

import (
	"arctally/acquire/quantity"
	"arctally/analyze/heat"
)

// judged is the quantity that the procedure's limits are about, and its
// expanded uncertainty. The uncertainty is relative by nature and k is taken as
// exact, so that, where a pass has no budget, that of E follows from that of Q:
//
//	U(E) = U(Q)*E/Q
func (s *Sheet) judged(p *passEntry) (value, expanded *quantity.JoulesPerMetre) {
	if !s.arcEnergyRules() {
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
	signWithin   = "within"
	signNear     = "near"
	signNearOut  = "nearout"
	signOutside  = "outside"
	signUnjudged = "unjudged"
)

func verdictSign(v heat.Verdict) string {
	switch v {
	case heat.Within:
		return signWithin
	case heat.WithinNearLimit:
		return signNear
	case heat.OutsideNearLimit:
		return signNearOut
	case heat.Outside:
		return signOutside
	default:
		return signUnjudged
	}
}

func verdictWords(v heat.Verdict) string {
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

// verdictCount is how many passes have a verdict.
type verdictCount struct {
	Sign, Words string
	Count       int
}

func (s *Sheet) verdictCounts() []verdictCount {
	t := s.tally()
	return []verdictCount{
		{signWithin, "within", t.within},
		{signNear, "within, closer to a limit than the guard band", t.near},
		{signNearOut, "outside, closer to a limit than the guard band", t.nearOut},
		{signOutside, "outside", t.outside},
		{signUnjudged, "not judged", t.unjudged},
	}
}

// sign is the shape beside the headline: that of the worst thing in the job.
func (s *Sheet) sign() string {
	t := s.tally()
	switch {
	case t.outside > 0:
		return signOutside
	case t.nearOut > 0 || s.openFindings() > 0:
		return signNearOut
	case len(s.passes) == 0 || t.unjudged > 0:
		return signUnjudged
	case t.near > 0:
		return signNear
	default:
		return signWithin
	}
}
