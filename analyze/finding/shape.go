package finding

import (
	"arctally/acquire/quantity"
	"arctally/analyze/pass"
	"arctally/analyze/waveform"
)

// settling is how long, in ns, a new arc is not judged by its shape.
const settling = 250_000_000

// glance is one look at the waveform, and where it was taken.
type glance struct {
	start, end int64 // ticks
	turns      float64
	wire       float64 // m/s, mean; 0 is not known
	shape      *waveform.Statistics
}

// shapeWatch holds what the waveform says against the job's own good passes.
type shapeWatch struct {
	watch *Watch

	start    int64 // of the look under way
	turns    float64
	struck   int64
	wire     meanOverTime
	looked   bool // at any waveform
	begun    float64
	arc      int64        // ns in arc in this pass
	learned  reference    // of this pass
	law      waveform.Law // of this pass, whatever is found in it but stubs and slip
	gathered reference    // of all good passes
	good     reference    // what looks are held against
	// provisional is set while good comes from the beginning of a pass, because
	// there is no good one yet.
	provisional bool

	signature  signature
	stubs      streak
	slip       streak
	drift      []*drift
	unfinished []Finding // wait for the end of the pass
}

// meanOverTime is the mean of a slow channel over a look.
type meanOverTime struct {
	sum, weight, last float64
	known             bool
}

func (m *meanOverTime) add(value, weight float64) {
	m.sum += value * weight
	m.weight += weight
	m.last, m.known = value, true
}

// take returns the mean since it was last called; where nothing was read, what
// was read last still holds.
func (m *meanOverTime) take() float64 {
	mean := m.last
	if m.weight > 0 {
		mean = m.sum / m.weight
	}
	m.sum, m.weight = 0, 0
	return mean
}

func newShapeWatch(w *Watch) *shapeWatch {
	s := &shapeWatch{watch: w, drift: newDrifts()}
	s.signature.changed = s.changed
	s.stubs.report = func(k streak) { s.file(Stubbing, k, stubLimit) }
	s.slip.report = func(k streak) { s.file(WireSlip, k, slipLimit) }
	return s
}

// begin is told that a pass has begun.
func (s *shapeWatch) begin(at pass.Position) {
	s.begun, s.arc = at.Turns, 0
	s.learned, s.law = reference{}, waveform.Law{}
	s.start, s.turns = at.Tick, at.Turns
}

// burn takes a stretch of arc.
func (s *shapeWatch) burn(b *pass.Bucket) {
	s.arc += b.Arc
	if !b.Looked {
		return
	}
	g := glance{start: s.start, end: b.End, turns: s.turns, wire: s.wireSpeed(), shape: b.Waveform}
	s.start, s.turns = b.End, b.Turns
	s.looked = s.looked || g.shape != nil
	if g.shape != nil && g.start >= s.struck+settling {
		s.judge(g)
	}
	if s.good.empty() && s.enough(b) {
		s.good, s.provisional = s.learned, true
	}
}

// wireSpeed returns the wire speed of the look: as read, else as set.
func (s *shapeWatch) wireSpeed() float64 {
	if s.wire.known {
		return s.wire.take()
	}
	return float64(s.watch.job.Setpoints.WireSpeed)
}

// judge holds one look against the limits, and learns from it if nothing is wrong.
func (s *shapeWatch) judge(g glance) {
	s.stubs.follow(g, stubLimit, stubRate(g.shape))
	if !s.good.empty() {
		s.slip.follow(g, slipLimit, s.slipOf(g))
		s.signature.follow(g, &s.good)
	}
	if s.stubs.count > 0 || s.slip.count > 0 {
		return
	}
	if g.wire > 0 {
		s.law.Add(quantity.MetresPerSecond(g.wire), g.shape)
	}
	if !s.signature.open() && !s.watch.deviating() {
		s.learned.add(g)
	}
}

// enough reports whether this pass has shown enough to hold the rest of it
// against: all positions of a turn, or half a minute where turns are not known.
func (s *shapeWatch) enough(b *pass.Bucket) bool {
	const halfMinute = 30_000_000_000
	if s.learned.count() < fewestGlances {
		return false
	}
	if b.TurnsBasis != "" {
		return b.Turns-s.begun >= 1 || b.Turns-s.begun <= -1
	}
	return s.arc >= halfMinute
}

// end is told that a pass is complete, before the rules that judge it as a whole.
func (s *shapeWatch) end(p *pass.Pass) {
	s.signature.end()
	s.stubs.close()
	s.slip.close()
	s.fileUnfinished()
	s.briefOuts(p)
}

// learn takes in a pass of which everything is known: for the charts of passes,
// and, if it is a good one, as what later ones are held against.
func (s *shapeWatch) learn(p *pass.Pass) {
	good := p.Findings == 0
	s.driftOf(p, good)
	if !good {
		return
	}
	s.gathered.join(s.learned)
	if s.gathered.count() >= fewestGlances {
		s.good, s.provisional = s.gathered, false
	}
}

// at makes a finding of a stretch of looks.
func (s *shapeWatch) at(rule Rule, from, to glance, worst, limit float64) Finding {
	return Finding{
		Rule: rule, Start: pass.Moment{Epoch: s.watch.last.Epoch, Tick: from.start}, Place: s.watch.where.PlaceOf(from.turns),
		Duration: quantity.SecondsOf(to.end - from.start), Worst: worst, Limit: limit,
	}
}

// file files a streak that lasted.
func (s *shapeWatch) file(rule Rule, k streak, limit float64) {
	if f := s.at(rule, k.first, k.last, k.worst, limit); f.Duration >= s.watch.job.Procedure.Judge.Dwell {
		s.watch.add(f)
	}
}

// changed takes a change of the signature that is over. A gas channel that says
// the same, or a finding of any other kind where only the rhythm changed,
// already has it; both are known by the end of the pass.
func (s *shapeWatch) changed(c oddity) {
	if quantity.SecondsOf(c.to.end-c.from.start) < s.watch.job.Procedure.Judge.Dwell {
		return
	}
	switch {
	case c.bareArc():
		s.unfinished = append(s.unfinished, s.at(GasSignature, c.from, c.to, c.most[voltage95], s.good.limit(voltage95, +1)))
	case c.signalled[transfers][0] || c.signalled[transfers][1]:
		side, worst := +1.0, c.most[transfers]
		if c.signalled[transfers][1] {
			side, worst = -1, c.least[transfers]
		}
		s.unfinished = append(s.unfinished, s.at(ShortRate, c.from, c.to, worst, s.good.limit(transfers, side)))
	}
}

// alike is how far, in s, two findings may lie apart and still be about one thing.
const alike = 1.5

// fileUnfinished files what no other finding of the pass already says.
func (s *shapeWatch) fileUnfinished() {
	for _, f := range s.unfinished {
		if !s.said(f) {
			s.watch.add(f)
		}
	}
	s.unfinished = s.unfinished[:0]
}

// said reports whether another finding of the pass covers the same time and says
// it better: any that is not of the waveform for a mere change of rhythm, a flow
// out of limits for an arc without its gas.
func (s *shapeWatch) said(f Finding) bool {
	for k := len(s.watch.found) - 1; k >= 0 && s.watch.found[k].Pass == s.watch.current.Number; k-- {
		o := s.watch.found[k]
		if (f.Rule == ShortRate || o.Rule == GasFlow) && f.from()-alike <= o.until() && o.from()-alike <= f.until() {
			return true
		}
	}
	return false
}

// from and until are the ends of a finding in s on the clock of its epoch.
func (f Finding) from() float64  { return float64(f.Start.Tick) * 1e-9 }
func (f Finding) until() float64 { return f.from() + float64(f.Duration) }

// The limits of short arc-outs within an arc interval. Ours; common practice, no
// source.
const (
	briefOutLimit  = 3.0 / 60 // Hz of arc time
	fewestBriefOut = 3
)

// briefOuts judges how often the arc went out for less than the hold time.
func (s *shapeWatch) briefOuts(p *pass.Pass) {
	if p.BriefArcOuts < fewestBriefOut || p.ArcTime <= 0 {
		return
	}
	if rate := float64(p.BriefArcOuts) / float64(p.ArcTime); rate > briefOutLimit {
		s.watch.add(Finding{Rule: BriefArcOuts, Start: p.Start, Place: p.StartPlace, Duration: p.Elapsed, Worst: rate, Limit: briefOutLimit})
	}
}

// slipOf returns which share of the wire speed the current does not account for.
func (s *shapeWatch) slipOf(g glance) float64 {
	if g.wire <= 0 || g.shape.Stubs > 0 {
		return 0
	}
	return 1 - float64(s.good.law.WireSpeed(g.shape))/g.wire
}

func stubRate(w *waveform.Statistics) float64 {
	return float64(w.Stubs) / float64(w.Known)
}

// deviating reports whether any channel is out of its limits.
func (w *Watch) deviating() bool {
	for _, m := range w.monitors() {
		if m.side != 0 {
			return true
		}
	}
	return false
}

// wireRead takes a reading of the wire speed while the arc burns.
func (s *shapeWatch) wireRead(speed float64, since, tick int64) {
	if tick > since {
		s.wire.add(speed, float64(tick-since))
	}
}

// Melting returns the melting law of the good passes so far, nil where none is known.
func (w *Watch) Melting() *waveform.Melting { return w.shape.good.law.Melting() }

// Unreferenced says why the waveform, or a part of it, was not held against the
// job's own good passes; it is empty where all of it was.
func (w *Watch) Unreferenced() []string {
	s := w.shape
	if s.looked && s.good.empty() {
		return []string{"no pass has shown a good arc for a whole turn, or half a minute: there is nothing to hold the waveform against, and no loss of gas or slip is found from it"}
	}
	var all []string
	if s.provisional {
		all = append(all, "every pass has findings: the waveform is held against the beginning of the first one, for want of a good pass")
	}
	for f := range features {
		if _, ok := s.good.spread(f); !ok && !s.good.empty() {
			all = append(all, featureNames[f]+" of the good passes follows itself too closely for control limits (lag-1 autocorrelation of 0.8 or more): it is not charted")
		}
	}
	for _, d := range s.drift {
		if d.refused {
			all = append(all, look[d.rule].what+" follows itself too closely from pass to pass for control limits: it is not charted")
		}
	}
	return all
}
