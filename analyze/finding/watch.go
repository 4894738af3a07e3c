package finding

import (
	"cmp"
	"slices"

	"arctally/acquire/quantity"
	"arctally/analyze/arc"
	"arctally/analyze/byangle"
	"arctally/analyze/note"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
	"arctally/analyze/waveform"
)

// Watch holds what happens against the procedure and the plan. It is a
// pass.Listener, and hands on what it hears to its judges, which are listeners too.
type Watch struct {
	ledger *ledger
	means  *means
	judged *judged
	outs   *arcOuts
	gap    *gapArc
	wave   *wave
	start  *start
	charts *charts
	fall   *fall
	silent *silent
	judges pass.Listeners
}

// NewWatch returns a watch for a job whose procedure is filled in.
func NewWatch(job *procedure.Job) *Watch {
	l := &ledger{job: job}
	w := &Watch{ledger: l, means: newMeans(l), outs: &arcOuts{ledger: l}, gap: &gapArc{ledger: l}, start: &start{ledger: l}}
	w.judged = &judged{ledger: l, means: w.means, power: window{length: job.Procedure.Judge.AverageOver.Nanoseconds()}}
	w.wave = newWave(l, w.means)
	w.charts = newCharts(l, w.wave)
	w.fall, w.silent = &fall{ledger: l}, &silent{ledger: l}
	// The order is that in which findings of one moment are numbered: the wall
	// gathers what was found in the pass, and the charts take passes with nothing found.
	w.judges = pass.Listeners{w.outs, w.silent, w.means, w.judged, w.gap, w.wave, w.fall, w.start, &course{ledger: l}, &wholePass{ledger: l}, &wall{ledger: l}, w.charts}
	return w
}

// Follow tells the watch who knows where the torch is. It must be called once,
// before anything happens.
func (w *Watch) Follow(torch Whereabouts) { w.ledger.torch = torch }

// Begin implements pass.Listener.
func (w *Watch) Begin(p *pass.Pass, at pass.Position) {
	w.ledger.pass, w.ledger.epoch = p, at.Epoch
	w.judges.Begin(p, at)
}

// Resume implements pass.Listener.
func (w *Watch) Resume(from, to pass.Position, off quantity.Seconds) {
	w.ledger.epoch = to.Epoch
	w.judges.Resume(from, to, off)
}

// Burn implements pass.Listener.
func (w *Watch) Burn(b *pass.Bucket) { w.judges.Burn(b) }

// Rest implements pass.Listener.
func (w *Watch) Rest(at pass.Position) { w.judges.Rest(at) }

// End implements pass.Listener.
func (w *Watch) End(p *pass.Pass) {
	w.judges.End(p)
	w.ledger.pass = nil
}

// Wire takes a reading of the wire speed in m/s.
func (w *Watch) Wire(tick int64, speed float64) {
	stood := w.means.read(wireFeed, tick, speed)
	w.wave.feed(speed, stood)
	w.fall.feed(speed, stood)
	w.silent.wire(tick, speed)
}

// Apart says within which time, k = 2, what is read of the wire speed and of the gas flow
// may stand elsewhere than its tick says.
func (w *Watch) Apart(wire, flow quantity.Seconds) {
	w.ledger.apart[wireFeed], w.ledger.apart[gas] = wire, flow
}

// Idle takes what the source shows while no arc burns.
func (w *Watch) Idle(i arc.Idle) { w.silent.idle(i) }

// Silent returns what came alone outside of any pass.
func (w *Watch) Silent() []Silent { return w.silent.outside }

// Gas takes a reading of the gas flow in m^3/s.
func (w *Watch) Gas(tick int64, flow float64) {
	w.start.gasFlow = new(quantity.CubicMetresPerSecond(flow))
	w.means.read(gas, tick, flow)
}

// Temperature takes a reading beside the weld, judged as the next pass begins.
func (w *Watch) Temperature(t quantity.Celsius) { w.start.temperature = &t }

// Note takes what a person typed in. It must come before the pass at whose start
// it holds.
func (w *Watch) Note(n note.Note) { w.start.note(n) }

// Swept files what a sweep shows, and returns how many findings belong to its
// last pass though that is already complete.
func (w *Watch) Swept(s byangle.Sweep) (late int) { return w.ledger.swept(s) }

// PutAway has full sheets of the means that are held against the limits handed to away,
// which copies what it keeps. It is to be said before there are any.
func (w *Watch) PutAway(away func(sheet []JudgedMeans)) { w.judged.away = away }

// Judged returns the means that were held against the limits so far, and are not put away.
func (w *Watch) Judged() Judged { return w.judged.kept }

// Found returns the findings so far.
func (w *Watch) Found() []Finding { return w.ledger.found }

// Notes returns what was typed in, by the moment for which it holds.
func (w *Watch) Notes() []note.Note { return w.start.notes }

// Means returns the means as they stand; none is known while the arc is out, and
// none of the travel where no turns are counted.
func (w *Watch) Means() Means { return w.means.now() }

// Open returns the deviations that are in progress at a place, the one that began
// first in front. While the arc is out, off is for how long that is known.
func (w *Watch) Open(now pass.Position, off quantity.Seconds) []Open {
	if w.ledger.pass == nil {
		return w.silent.open()
	}
	open := slices.Concat(w.silent.open(), w.means.open(now.Tick), w.outs.open(now, off), w.gap.open(now.Tick))
	slices.SortStableFunc(open, func(a, b Open) int { return cmp.Compare(a.Since.Tick, b.Since.Tick) })
	return open
}

// Seen says what shows while no pass is under way and may be as it should be; it is empty
// where nothing does.
func (w *Watch) Seen() string { return w.silent.seen() }

// PassCharts returns the charts that have their limits.
func (w *Watch) PassCharts() []PassChart { return w.charts.all() }

// Melting returns the melting law of the good passes so far, nil where none is known.
func (w *Watch) Melting() *waveform.Melting { return w.wave.good.law.Melting() }

// Unreferenced says why the waveform, or a part of it, was not held against the
// job's own good passes; it is empty where all of it was.
func (w *Watch) Unreferenced() []string {
	if w.wave.nothingGood() {
		return []string{"no pass has shown a good arc for a whole turn, or half a minute: there is nothing to hold the waveform against, and no loss of gas or slip is found from it"}
	}
	return append(w.wave.unreferenced(), w.charts.refused()...)
}
