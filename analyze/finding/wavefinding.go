package finding

import "arctally/acquire/quantity"

// between makes a finding of looks, from the first to the last.
func (w *wave) between(rule Rule, from, to glance, worst, limit float64) Finding {
	return Finding{
		Rule: rule, Start: w.moment(from.start), Place: w.torch.PlaceOf(from.turns),
		Duration: quantity.SecondsOf(to.end - from.start), Worst: worst, Limit: limit,
	}
}

// streakEnded files a streak that lasted.
func (w *wave) streakEnded(s *streak) {
	if f := w.between(s.rule, s.first, s.last, s.worst, s.limit); f.Duration >= w.job.Procedure.Judge.Dwell {
		w.add(f)
	}
}

// changed takes a change of the signature that is over. A gas channel that says
// the same, or a finding of any other kind where only the rhythm changed,
// already has it; both are known by the end of the pass.
func (w *wave) changed(c oddity) {
	if quantity.SecondsOf(c.to.end-c.from.start) < w.job.Procedure.Judge.Dwell {
		return
	}
	switch {
	case c.bareArc():
		w.unfinished = append(w.unfinished, w.between(GasSignature, c.from, c.to, c.most[voltage95], w.good.limit(voltage95, +1)))
	case c.signalled[transfers][0] || c.signalled[transfers][1]:
		side, worst := +1.0, c.most[transfers]
		if c.signalled[transfers][1] {
			side, worst = -1, c.least[transfers]
		}
		w.unfinished = append(w.unfinished, w.between(ShortRate, c.from, c.to, worst, w.good.limit(transfers, side)))
	}
}

// alike is how far, in s, two findings may lie apart and still be about one thing.
// Ours, no source.
const alike = 1.5

// saidBetter reports whether another finding of the pass covers the same time and
// says it better: one with the same cause, or any for a vague rule.
func (w *wave) saidBetter(f *Finding) bool {
	mine := rowOf(f.Rule)
	for k := len(w.found) - 1; k >= 0 && w.found[k].Pass == w.pass.Number; k-- {
		o := &w.found[k]
		of := rowOf(o.Rule)
		better := mine.vague || of != mine && of.cause == mine.cause
		if better && f.from()-alike <= o.until() && o.from()-alike <= f.until() {
			return true
		}
	}
	return false
}
