package finding

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// edge is how many degrees the arc may be struck late or end early at a planned
// gap, or reach into it. Ours; common practice, no source.
const edge = 6

// deviation turns what a monitor reports into a finding.
func (w *Watch) deviation(rule Rule, d deviation) {
	start := pass.Moment{Epoch: w.last.Epoch, Tick: d.start.start}
	w.add(Finding{
		Rule: rule, Start: start, Place: w.where.PlaceOf(d.start.turns),
		Duration: quantity.SecondsOf(d.end.start - d.start.start), Worst: d.worst, Limit: d.limit,
	})
}

// add numbers a finding and files it with the pass that is open.
func (w *Watch) add(f Finding) {
	f.Number = len(w.found) + 1
	f.Pass, f.Layer = w.current.Number, w.current.Layer
	f.Beyond = f.Worst - f.Limit
	f.Sentence = f.compose(metric)
	w.current.Findings++
	w.found = append(w.found, f)
}

// arcOut judges the arc being out between two arc intervals of one pass.
func (w *Watch) arcOut(from, to pass.Position, off quantity.Seconds) {
	for _, f := range w.outs(from, to, off) {
		w.add(f)
	}
}

// outs returns where the arc was out on a way on which the plan has it burning.
func (w *Watch) outs(from, to pass.Position, off quantity.Seconds) (found []Finding) {
	hold := w.job.Procedure.Judge.Hold
	if off <= hold {
		return nil
	}
	if from.Basis != heat.TravelMeasured {
		if len(w.job.Deposit.Gaps) > 0 && w.likeGap(off) {
			return nil
		}
		return []Finding{{Rule: ArcOut, Start: from.Moment, Place: from.Place, Duration: off, Worst: float64(off), Limit: float64(hold)}}
	}
	for _, u := range w.unplanned(from.Turns, to.Turns) {
		share := 1.0
		if to.Turns != from.Turns {
			share = (u.to - u.from) / (to.Turns - from.Turns)
		}
		lasted := quantity.Seconds(share) * off
		if lasted <= hold {
			continue
		}
		begun := from.Moment
		begun.Tick += int64((u.from - from.Turns) / nonZero(to.Turns-from.Turns) * float64(to.Tick-from.Tick))
		found = append(found, Finding{Rule: ArcOut, Start: begun, Place: w.where.PlaceOf(u.from), Duration: lasted, Worst: float64(lasted), Limit: float64(hold)})
	}
	return found
}

func nonZero(x float64) float64 {
	if x == 0 {
		return 1
	}
	return x
}

// likeGap reports whether a time without arc fits one of the planned gaps,
// where only the declared rotation tells: to within a half of it.
func (w *Watch) likeGap(off quantity.Seconds) bool {
	n := float64(w.job.Rotation.Speed)
	for _, g := range w.job.Deposit.Gaps {
		planned := float64(g.Width()) / 360 / n
		if n > 0 && math.Abs(float64(off)-planned) <= planned/2 {
			return true
		}
	}
	return false
}

// mayBeGap reports whether a time without arc that goes on may still turn out to
// be one of the planned gaps, by likeGap.
func (w *Watch) mayBeGap(off quantity.Seconds) bool {
	n := float64(w.job.Rotation.Speed)
	longest := float64(w.job.Deposit.LongestGap()) / 360
	return longest > 0 && (n <= 0 || float64(off) <= longest/n*3/2)
}

// span is a range of turns.
type span struct{ from, to float64 }

// unplanned returns the parts of a way without arc that the plan has burning.
// What is no longer than edge, beside a gap, is the arc's own lateness.
func (w *Watch) unplanned(from, to float64) []span {
	const grain = 1.0 / 720
	var found []span
	open, planned := span{from, from}, w.job.Deposit.InGap(angleOf(w.where.PlaceOf(from)))
	steps := int(math.Abs(to-from) / grain)
	for k := 1; k <= steps; k++ {
		at := from + float64(k)*math.Copysign(grain, to-from)
		inGap := w.job.Deposit.InGap(angleOf(w.where.PlaceOf(at)))
		if inGap && !planned {
			open.to = at
			found = append(found, open)
		} else if !inGap && planned {
			open = span{at, at}
		}
		planned = inGap
	}
	if !planned {
		open.to = to
		found = append(found, open)
	}
	if len(found) == 1 && found[0] == (span{from, to}) {
		return found
	}
	kept := found[:0]
	for _, s := range found {
		if math.Abs(s.to-s.from)*360 > edge {
			kept = append(kept, s)
		}
	}
	return kept
}

func angleOf(p *bore.Place) quantity.Degrees {
	if p == nil {
		return 0
	}
	return p.Angle
}

// wholePass judges what only the complete pass tells.
func (w *Watch) wholePass(p *pass.Pass) {
	f := Finding{Start: p.Start, Place: p.StartPlace, Duration: p.Elapsed}
	if speed := p.TravelSpeed; speed != nil && p.TravelBasis != heat.TravelMeasured {
		w.outside(f, TravelSpeed, float64(*speed), plain(w.job.Procedure.Limits.TravelSpeed))
	}
	w.arcOnRatio(f, p)
	w.interrupted(p)
	if p.Verdict == heat.Outside || p.Verdict == heat.OutsideNearLimit {
		q := p.HeatInput
		if w.job.Procedure.Judge.Definition == procedure.ArcEnergy {
			q = p.ArcEnergy
		}
		w.outside(f, HeatInput, float64(*q), plain(w.job.Procedure.Limits.HeatInput))
	}
}

// arcOnRatio judges a stroke, which has no gap in it, and any other pass that went
// round at least once; less than a turn may have met more of the gaps, or fewer,
// than its share.
func (w *Watch) arcOnRatio(f Finding, p *pass.Pass) {
	short := p.Turns != nil && *p.Turns < 0.9 && !p.Pattern.Stroked()
	if p.PlannedArcOn == 0 || short || p.Elapsed <= p.GapTime {
		return
	}
	ratio := quantity.Ratio(p.ArcTime / (p.Elapsed - p.GapTime))
	least := p.PlannedArcOn - w.job.Procedure.Judge.ArcOnTolerance
	if ratio < least {
		f.Rule, f.Worst, f.Limit = ArcOnRatio, float64(ratio), float64(least)
		w.add(f)
	}
}

func (w *Watch) outside(f Finding, rule Rule, value float64, limits quantity.Range[quantity.Ratio]) {
	beyond := float64(limits.Beyond(quantity.Ratio(value)))
	if beyond != 0 {
		f.Rule, f.Worst, f.Limit = rule, value, value-beyond
		w.add(f)
	}
}
