package finding

import (
	"arctally/acquire/quantity"
	"arctally/analyze/waveform"
)

// between makes a finding of looks, from the first to the last.
func (w *wave) between(rule Rule, from, to glance, worst, limit float64) Finding {
	return Finding{
		Rule: rule, Start: w.moment(from.start), Place: w.torch.PlaceOf(from.turns),
		Way: way(from.turns, to.turned), Duration: quantity.SecondsOf(to.end - from.start), Worst: worst, Limit: limit,
	}
}

// streakEnded files a streak that lasted.
func (w *wave) streakEnded(s *streak) {
	limit := s.limit
	if s.rule == TransferMode {
		wanted, _ := w.wantedMode()
		limit = modeNumber(wanted)
	}
	if f := w.between(s.rule, s.first, s.last, s.worst, limit); f.Duration >= max(s.by.least, w.job.Procedure.Judge.Dwell) {
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
	case w.good.mode == waveform.Dip && c.bareArc():
		w.unfinished = append(w.unfinished, w.between(GasSignature, c.from, c.to, c.most[voltage95], w.good.limit(voltage95, +1)))
	case c.signalled[unrest][0]:
		w.unfinished = append(w.unfinished, w.between(ArcUnrest, c.from, c.to, c.most[unrest], w.good.limit(unrest, +1)))
	case c.signalled[pulseRate][0] || c.signalled[pulseRate][1]:
		w.unfinished = append(w.unfinished, w.oneSided(PulseRate, pulseRate, c))
	case w.good.mode != waveform.Dip && c.signalled[voltage95][0]:
		w.unfinished = append(w.unfinished, w.between(VoltageRisen, c.from, c.to, c.most[voltage95], w.good.limit(voltage95, +1)))
	case c.signalled[transfers][0] || c.signalled[transfers][1]:
		w.unfinished = append(w.unfinished, w.oneSided(ShortRate, transfers, c))
	}
}

// oneSided makes a finding of one feature that left the good passes, to either side.
func (w *wave) oneSided(rule Rule, f feature, c oddity) Finding {
	side, worst := +1.0, c.most[f]
	if c.signalled[f][1] {
		side, worst = -1, c.least[f]
	}
	return w.between(rule, c.from, c.to, worst, w.good.limit(f, side))
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
