package pass

import (
	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

// WithoutMayBeHeld is what a pass comes to without the times in which its source may
// have held its last values after the arc had gone out. They count in the pass itself:
// energy that was laid is not to be lost to a steady arc.
type WithoutMayBeHeld struct {
	Time       quantity.Seconds // in which values may be held; part of the pass's arc time
	ArcTime    quantity.Seconds // without it, as all that follows
	ArcOnRatio quantity.Ratio
	Energy     quantity.Joules
	HeatInput  *quantity.JoulesPerMetre // what the limits are about; nil where it is not known
	Verdict    heat.Verdict
}

// mayBeHeld tells what the pass is without what may be held, and takes from its verdict
// what only one of the two results says.
//
// The path without is that in arc, as the torch goes on evenly; a declared length stays.
func (t *totals) mayBeHeld(p *Pass) {
	if t.sums.MayBe == 0 {
		return
	}
	rest := t.sums.Arc - t.sums.MayBe
	w := &WithoutMayBeHeld{
		Time: quantity.SecondsOf(t.sums.MayBe), ArcTime: quantity.SecondsOf(rest),
		Energy: max(0, p.Energy-t.sums.EnergyMayBe()),
	}
	p.MayBeHeld = w
	if p.Elapsed > 0 {
		w.ArcOnRatio = quantity.Ratio(w.ArcTime / p.Elapsed)
	}
	if p.Travel == nil || rest <= 0 {
		p.Verdict = p.Verdict.Doubted()
		return
	}
	path := *p.Travel
	if p.Pattern != bore.Straight || t.job.Deposit.Length == 0 || t.way.path > 0 {
		path *= quantity.Metres(float64(rest) / float64(t.sums.Arc))
	}
	t.judgeWithout(p, w, heat.ArcEnergyOverLength(w.Energy, path))
}

// judgeWithout judges the pass without what may be held, by the budget of the pass.
func (t *totals) judgeWithout(p *Pass, w *WithoutMayBeHeld, q quantity.JoulesPerMetre) {
	judge := t.job.Procedure.Judge
	if judge.Definition == procedure.EN1011 {
		k, listed := heat.ThermalEfficiency(t.job.Procedure.Process)
		if !listed {
			return
		}
		q = heat.HeatInput(k, q)
	}
	w.HeatInput = &q
	w.Verdict = heat.Judge(q, p.Budget.Expanded(q), t.job.Procedure.Limits.HeatInput, judge.GuardBand)
	if w.Verdict != p.Verdict {
		p.Verdict = p.Verdict.Doubted()
	}
}
