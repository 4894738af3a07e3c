package finding

import (
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// goesOn judges how a pass that begins stands to the ones before it. What the
// signals cannot tell, because only the number of rings shows it, is no finding.
func (w *Watch) goesOn(p *pass.Pass, at pass.Position) {
	f := Finding{Start: at.Moment, Place: at.Place}
	if off := p.Course.Off; off != nil {
		f.Worst, f.Limit, f.Rule = float64(*off), pass.Restart, LeftOut
		if *off < 0 {
			f.Worst, f.Rule = -f.Worst, WeldedOver
		}
		if f.Worst > f.Limit {
			w.add(f)
		}
	}
	f.Rule, f.Worst, f.Limit = StrokeCount, float64(-p.Course.Missing), 0
	if p.Course.Extra {
		f.Worst = 1
	}
	if f.Worst != 0 {
		w.add(f)
	}
}

// interrupted judges a pass that stopped short of its plan, or went back where the
// plan has a cold return. Only counted, or
// derived, turns can tell.
func (w *Watch) interrupted(p *pass.Pass) {
	if p.Course.Against {
		w.add(Finding{Rule: ArcOnReturn, Start: p.Start, Place: p.StartPlace, Duration: p.ArcTime, Worst: float64(p.ArcTime)})
	}
	if p.Course.State != pass.Interrupted || p.TravelBasis == heat.TravelDeclared {
		return
	}
	w.add(Finding{
		Rule: Interrupted, Start: p.End, Place: p.EndPlace,
		Worst: p.Course.Turned, Limit: p.Course.Planned,
	})
}
