package finding

import "arctally/analyze/pass"

// course judges how a pass that begins stands to the ones before it. What the
// signals cannot tell, because only the number of rings shows it, is no finding.
type course struct {
	deaf
	*ledger
}

// Begin implements pass.Listener.
func (c *course) Begin(p *pass.Pass, at pass.Position) {
	f := Finding{Start: at.Moment, Place: at.Place}
	if off := p.Course.Off; off != nil {
		f.Rule, f.Worst = LeftOut, float64(*off)
		if *off < 0 {
			f.Rule, f.Worst = WeldedOver, -f.Worst
		}
		if f.Limit = float64(c.limits(f.Rule).High); f.Worst > f.Limit {
			c.add(f)
		}
	}
	f.Rule, f.Worst, f.Limit = StrokeCount, float64(-p.Course.Missing), 0
	if p.Course.Extra {
		f.Worst = 1
	}
	if f.FromStart, f.ToEnd = true, true; f.Worst != 0 {
		c.add(f)
	}
}
