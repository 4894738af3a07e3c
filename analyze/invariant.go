package analyze

import (
	"fmt"
	"math"

	"arctally/analyze/pass"
)

// What rounding leaves open: of ratios, and of sums that are added up in another order.
const (
	rounding = 1e-9
	inParts  = 1e-6
)

// impossible returns what in a result cannot be, whatever was measured: an error of
// this program. Of each pass
//
//	0 <= arc time <= elapsed        0 <= arc-on ratio <= 1
//	energy = mean power * arc time  path >= 0
//
// of all of them, energy and arc time are those of their parts, bin by bin of the way,
// and the wall has no more; and every number is one. While a pass is under way, the
// parts know more than the passes.
func (r *Result) impossible(open bool) []string {
	var wrong invariants
	last := pass.Moment{Epoch: math.MinInt, Tick: math.MinInt64}
	for k := range r.Passes {
		p := &r.Passes[k]
		wrong.where = fmt.Sprintf("pass %d", p.Number)
		wrong.check(p.Number == k+1, "has number %d in place %d", p.Number, k+1)
		wrong.check(p.Start.Compare(last) >= 0 && p.End.Compare(p.Start) >= 0, "begins before the one before it, or ends before it begins")
		last = p.Start
		wrong.ofPass(p)
	}
	wrong.where = "the whole record"
	if !open {
		wrong.ofParts(r)
		wrong.ofWall(r)
	}
	for k := range r.Findings {
		f := &r.Findings[k]
		wrong.where = fmt.Sprintf("finding %d", f.Number)
		wrong.numbers("duration, worst or limit", float64(f.Duration), f.Worst, f.Limit, f.Beyond)
		wrong.check(f.Duration >= 0, "lasts %g s", float64(f.Duration))
	}
	return wrong.found
}

// invariants gathers those that do not hold.
type invariants struct {
	where string
	found []string
}

func (i *invariants) check(holds bool, format string, arg ...any) {
	if !holds {
		i.found = append(i.found, i.where+" "+fmt.Sprintf(format, arg...))
	}
}

func (i *invariants) numbers(what string, all ...float64) {
	for _, x := range all {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			i.check(false, "has no number for its %s: %g", what, x)
			return
		}
	}
}

// known returns the number that a pointer leads to; what is not known is no wrong one.
func known[Q ~float64](x *Q) float64 {
	if x == nil {
		return 0
	}
	return float64(*x)
}

func (i *invariants) ofPass(p *pass.Pass) {
	i.numbers("times", float64(p.Elapsed), float64(p.ArcTime), float64(p.GapTime), float64(p.HeldTime), float64(p.BriefArcOutTime))
	i.numbers("ratios", float64(p.ArcOnRatio), float64(p.PlannedArcOn), float64(p.ArcOnRatioHeldIn))
	i.numbers("means", known(p.VoltageMean), known(p.CurrentMean), known(p.PowerMean), float64(p.Energy))
	i.numbers("way", known(p.Turns), known(p.Travel), known(p.TravelSpeed), float64(p.Diameter))
	i.numbers("heat input", known(p.ArcEnergy), known(p.HeatInput), known(p.ExpandedUncertainty))
	i.numbers("metal", known(p.Wire), known(p.Deposit))
	i.check(p.ArcTime >= 0 && float64(p.ArcTime) <= float64(p.Elapsed)*(1+rounding), "has %g s of arc time in %g s", float64(p.ArcTime), float64(p.Elapsed))
	i.check(p.ArcOnRatio >= 0 && p.ArcOnRatio <= 1+rounding, "has an arc-on ratio of %g", float64(p.ArcOnRatio))
	i.check(p.GapTime >= 0 && p.HeldTime >= 0 && p.BriefArcOutTime >= 0, "has times below 0")
	i.check(known(p.Travel) >= 0 && known(p.TravelSpeed) >= 0, "has a path of %g m", known(p.Travel))
	i.check(known(p.ExpandedUncertainty) >= 0, "has an uncertainty below 0")
	if p.PowerMean != nil {
		byMean := float64(*p.PowerMean) * float64(p.ArcTime)
		i.check(near(byMean, float64(p.Energy), math.Abs(byMean)), "has %g J, and %g J by its mean power", float64(p.Energy), byMean)
	}
	if m := p.MayBeHeld; m != nil {
		i.check(m.Time >= 0 && m.ArcTime >= 0 && m.Time <= p.ArcTime, "has %g s that may be held in %g s of arc", float64(m.Time), float64(p.ArcTime))
		i.numbers("results without what may be held", float64(m.Energy), float64(m.ArcOnRatio), known(m.HeatInput))
	}
}

// near reports whether two sums of the same parts are alike, the whole of whose sizes is
// that large.
func near(a, b, size float64) bool { return math.Abs(a-b) <= inParts*(1+size) }

// ofParts holds the passes against the bins of their way.
func (i *invariants) ofParts(r *Result) {
	var whole, parts, size, arc, arcParts float64
	for k := range r.Passes {
		whole += float64(r.Passes[k].Energy)
		arc += float64(r.Passes[k].ArcTime)
	}
	for _, p := range r.Profiles {
		for k := range p.Bins {
			parts += p.Bins[k].Energy
			size += math.Abs(p.Bins[k].Energy)
			arcParts += p.Bins[k].Arc
		}
	}
	i.numbers("parts", parts, arcParts)
	if len(r.Profiles) == len(r.Passes) {
		i.check(near(whole, parts, size), "has %g J in its passes, and %g J in their parts", whole, parts)
		i.check(arcParts <= arc+inParts*(1+arc), "has %g s of arc in its passes, and %g s in their parts", arc, arcParts)
	}
}

// ofWall holds the map against the passes.
func (i *invariants) ofWall(r *Result) {
	if r.Map == nil {
		return
	}
	all := r.Map.Beyond
	for k := range r.Map.Cells {
		all.Add(r.Map.Cells[k])
	}
	i.numbers("wall", float64(all.Energy), float64(all.ArcTime), float64(all.Unseen), float64(all.Path), all.Volume)
	arc := 0.0
	for k := range r.Passes {
		arc += float64(r.Passes[k].ArcTime)
	}
	i.check(float64(all.ArcTime) <= arc+inParts*(1+arc), "has %g s of arc on the wall, and %g s in its passes", float64(all.ArcTime), arc)
}
