package finding

import (
	"arctally/acquire/quantity"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// wholePass judges what only the complete pass tells, rule by rule in the order
// of the table.
type wholePass struct {
	deaf
	*ledger
}

// End implements pass.Listener.
func (w *wholePass) End(p *pass.Pass) {
	w.placeAnew(p)
	w.lasted(p)
	for k := range table {
		r := &table[k]
		if r.whole == nil {
			continue
		}
		var within limits
		if r.limit != nil {
			within = r.limit(w.job)
		}
		if f, broken := r.whole(w.job, p, within); broken {
			f.Rule = r.rule
			w.add(f)
		}
	}
}

// overall makes a finding about a pass from its beginning to its end.
func overall(p *pass.Pass, worst, limit float64) Finding {
	return Finding{Start: p.Start, Duration: p.Elapsed, FromStart: true, ToEnd: true, Worst: worst, Limit: limit}
}

// fewestBriefOuts is from how many short arc-outs on they have a rate. Ours; common
// practice, no source.
const fewestBriefOuts = 3

// briefArcOuts judges how often the arc went out for less than the hold time.
func briefArcOuts(_ *procedure.Job, p *pass.Pass, within limits) (Finding, bool) {
	if p.BriefArcOuts < fewestBriefOuts || p.ArcTime <= 0 {
		return Finding{}, false
	}
	rate, limit := float64(p.BriefArcOuts)/float64(p.ArcTime), float64(within.High)
	return overall(p, rate, limit), rate > limit
}

// unmeasuredTravel judges a travel speed that nobody counted while the pass went on.
func unmeasuredTravel(_ *procedure.Job, p *pass.Pass, within limits) (Finding, bool) {
	if p.TravelSpeed == nil || p.TravelBasis == heat.TravelMeasured {
		return Finding{}, false
	}
	limit, out := outside(float64(*p.TravelSpeed), within)
	return overall(p, float64(*p.TravelSpeed), limit), out
}

// arcOnRatio judges a stroke, which has no gap in it, and any other pass that went
// round at least once; less than a turn may have met more of the gaps, or fewer,
// than its share.
func arcOnRatio(job *procedure.Job, p *pass.Pass, _ limits) (Finding, bool) {
	short := p.Turns != nil && *p.Turns < 0.9 && !p.Pattern.Stroked()
	if p.PlannedArcOn == 0 || short || p.Elapsed <= p.GapTime {
		return Finding{}, false
	}
	ratio := quantity.Ratio(p.ArcTime / (p.Elapsed - p.GapTime))
	least := p.PlannedArcOn - job.Procedure.Judge.ArcOnTolerance
	return overall(p, float64(ratio), float64(least)), ratio < least
}

// arcOnReturn judges a pass that went back where the plan has a cold return.
func arcOnReturn(_ *procedure.Job, p *pass.Pass, _ limits) (Finding, bool) {
	f := overall(p, float64(p.ArcTime), 0)
	f.Duration = p.ArcTime
	return f, p.Course.Against
}

// interrupted judges a pass that stopped short of its plan. Only counted, or
// derived, turns can tell.
func interrupted(_ *procedure.Job, p *pass.Pass, _ limits) (Finding, bool) {
	stopped := p.Course.State == pass.Interrupted && p.TravelBasis != heat.TravelDeclared
	return Finding{Start: p.End, Place: p.EndPlace, Worst: p.Course.Turned, Limit: p.Course.Planned}, stopped
}

// heatInput judges what the verdict has outside, by the definition of the procedure.
func heatInput(job *procedure.Job, p *pass.Pass, within limits) (Finding, bool) {
	if p.Verdict != heat.Outside && p.Verdict != heat.OutsideNearLimit {
		return Finding{}, false
	}
	q := p.HeatInput
	if job.Procedure.Judge.Definition == procedure.ArcEnergy {
		q = p.ArcEnergy
	}
	limit, out := outside(float64(*q), within)
	return overall(p, float64(*q), limit), out
}
