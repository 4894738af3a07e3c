package finding

import (
	"arctally/acquire/quantity"
	"arctally/analyze/pass"
	"arctally/analyze/waveform"
)

// settling is how long, in ns, a new arc is not judged by its waveform.
const settling = 250_000_000

// wave judges what the waveform says, look by look, against the job's own good
// passes.
type wave struct {
	deaf
	*ledger
	means *means

	start    int64   // of the look under way, a tick
	turns    float64 // and where it began
	struck   int64
	wire     feed
	looked   bool // at any waveform
	begun    float64
	arc      int64        // ns in arc in this pass
	learned  reference    // of this pass
	law      waveform.Law // of this pass, whatever is found in it but streaks
	gathered reference    // of all good passes
	good     reference    // what looks are held against
	usual    modes        // how the arc of this job burns
	// provisional is set while good comes from the beginning of a pass, because
	// there is no good one yet.
	provisional bool

	streaks    []*streak
	otherMode  streak
	signature  signature
	unfinished []Finding // wait for the end of the pass
}

func newWave(l *ledger, m *means) *wave {
	w := &wave{ledger: l, means: m, usual: modes{}}
	w.signature.changed = w.changed
	w.otherMode = streak{rule: TransferMode, by: &lookRule{least: otherModeLasts}, report: w.streakEnded}
	for k := range table {
		if r := &table[k]; r.look != nil {
			w.streaks = append(w.streaks, &streak{rule: r.rule, by: r.look, limit: float64(r.limit(l.job).High), report: w.streakEnded})
		}
	}
	return w
}

// Begin implements pass.Listener.
func (w *wave) Begin(_ *pass.Pass, at pass.Position) {
	w.struck, w.start, w.turns, w.begun, w.arc = at.Tick, at.Tick, at.Turns, at.Turns, 0
	w.learned, w.law = reference{}, waveform.Law{}
}

// Resume implements pass.Listener.
func (w *wave) Resume(_, to pass.Position, _ quantity.Seconds) { w.struck = to.Tick }

// feed takes a reading of the wire speed, and for how many ns it stood while the arc burned.
func (w *wave) feed(speed float64, stood int64) {
	if stood > 0 {
		w.wire.add(speed, float64(stood))
	}
}

// Burn implements pass.Listener.
func (w *wave) Burn(b *pass.Bucket) {
	w.arc += b.Arc
	if !b.Looked {
		return
	}
	g := glance{start: w.start, end: b.End, turns: w.turns, turned: b.Turns, wire: w.wireSpeed(), waveform: b.Waveform}
	w.start, w.turns = b.End, b.Turns
	w.looked = w.looked || g.waveform != nil
	if g.waveform != nil && g.start >= w.struck+settling {
		w.judge(g)
	}
	if w.good.empty() && w.enough(b) {
		w.good, w.provisional = w.learned, true
	}
}

// wireSpeed returns the wire speed of the look: as read, else as set.
func (w *wave) wireSpeed() float64 {
	if w.wire.known {
		return w.wire.take()
	}
	return float64(w.job.Setpoints.WireSpeed)
}

// judge holds one look against the limits, and learns from it if nothing is wrong.
func (w *wave) judge(g glance) {
	usual, broken := w.usualMode(g), false
	for _, s := range w.streaks {
		if s.by.applies(g, usual, &w.good) {
			s.follow(g, s.by.of(g, &w.good))
		}
		broken = broken || s.count > 0
	}
	w.otherMode.follow(g, w.isOther(g))
	if !like(g.waveform, usual) {
		return
	}
	if !w.good.empty() {
		w.signature.follow(g, &w.good)
	}
	if broken {
		return
	}
	if g.wire > 0 {
		w.law.Add(quantity.MetresPerSecond(g.wire), g.waveform)
	}
	if !w.signature.open() && !w.means.deviating() {
		w.learned.add(g, usual)
	}
}

// enough reports whether this pass has shown enough to hold the rest of it
// against: all positions of a turn, or half a minute where turns are not known.
func (w *wave) enough(b *pass.Bucket) bool {
	const halfMinute = 30_000_000_000
	if w.learned.count() < fewestGlances {
		return false
	}
	if b.TurnsBasis != "" {
		return b.Turns-w.begun >= 1 || b.Turns-w.begun <= -1
	}
	return w.arc >= halfMinute
}

// End implements pass.Listener.
func (w *wave) End(*pass.Pass) {
	w.signature.end()
	for _, s := range w.streaks {
		s.close()
	}
	w.otherMode.close()
	for _, f := range w.unfinished {
		if !w.saidBetter(&f) {
			w.add(f)
		}
	}
	w.unfinished = w.unfinished[:0]
}

// learn takes in a good pass as what later ones are held against.
func (w *wave) learn() {
	w.gathered.join(w.learned)
	if w.gathered.count() >= fewestGlances {
		w.good, w.provisional = w.gathered, false
	}
}

// nothingGood reports whether there is a waveform, and nothing to hold it against.
func (w *wave) nothingGood() bool { return w.looked && w.good.empty() }

// unreferenced says what is not held against good passes, though there is a good arc.
func (w *wave) unreferenced() (why []string) {
	if w.provisional {
		why = append(why, "every pass has findings: the waveform is held against the beginning of the first one, for want of a good pass")
	}
	for _, f := range featuresOf[w.good.mode] {
		if _, ok := w.good.spread(f); !ok {
			why = append(why, featureNames[f]+" of the good passes follows itself too closely for control limits (lag-1 autocorrelation of 0.8 or more): it is not charted")
		}
	}
	return why
}
