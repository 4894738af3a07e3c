package analyze

import (
	"cmp"
	"fmt"
	"slices"

	"arctally/acquire/series"
	"arctally/analyze/finding"
	"arctally/analyze/pass"
)

// warnings gathers every doubt: first what the whole result rests on, then the
// single ones in the order of time.
func (r *Run) warnings() []Warning {
	var all []Warning
	for _, e := range r.events {
		all = append(all, r.ofEvent(e))
	}
	d := r.splitter.Doubts()
	all = append(all, r.ofHeld(d)...)
	all = append(all, r.ofMayBeHeld(d)...)
	all = append(all, r.ofSilence()...)
	all = append(all, r.ofBoxes()...)
	all = append(all, r.ofCompanions()...)
	slices.SortStableFunc(all, func(a, b Warning) int {
		return cmp.Or(cmp.Compare(a.Start.Epoch, b.Start.Epoch), cmp.Compare(a.Start.Tick, b.Start.Tick), cmp.Compare(a.Kind, b.Kind))
	})
	return append(r.general(d), all...)
}

// ofEvent turns an event of the record into a warning, and names its pass.
func (r *Run) ofEvent(e series.Event) Warning {
	return Warning{
		Kind: string(e.Kind), Pass: r.passAt(e.Epoch, e.Tick, e.Until), Count: e.Count, Text: e.Text,
		Start: pass.Moment{Epoch: e.Epoch, Tick: e.Tick}, End: pass.Moment{Epoch: e.Epoch, Tick: e.Until},
	}
}

// passAt returns the number of the pass that a time touches, 0 for none.
func (r *Run) passAt(epoch int, from, to int64) int {
	for _, p := range r.passes {
		if p.Start.Epoch == epoch && from <= p.End.Tick && to >= p.Start.Tick {
			return p.Number
		}
	}
	return 0
}

// ofHeld tells where the source stood at arc-like values without an arc.
func (r *Run) ofHeld(d pass.Doubts) []Warning {
	why := "the source repeated its last values for longer than it takes to measure anew"
	if r.order.flagged {
		why = "the arc flag was off while voltage and current stood at arc-like values"
	}
	var all []Warning
	for _, h := range d.Held.Listed {
		all = append(all, Warning{
			Kind: "held", Start: h.Start, End: pass.Moment{Epoch: h.Start.Epoch, Tick: h.End}, Count: 1,
			Pass: r.passAt(h.Start.Epoch, h.Start.Tick, h.End),
			Text: fmt.Sprintf("%s for %.3f s: not counted as arc time", why, float64(h.End-h.Start.Tick)*1e-9),
		})
	}
	return all
}

// inAll tells what the held values would have made of the arc-on ratio.
func inAll(d pass.Doubts) Warning {
	return Warning{
		Kind: "held", Start: d.Held.Listed[0].Start, End: d.Held.Last(), Count: int64(d.Held.Count),
		Text: fmt.Sprintf("held values %d times, %.1f s in all; with them the arc-on ratio of the whole time would have been %.3f, without them it is %.3f",
			d.Held.Count, float64(d.Held.Time)*1e-9, share(d.Arc+d.Held.Time, d.Elapsed), share(d.Arc, d.Elapsed)),
	}
}

func share(part, whole int64) float64 {
	if whole == 0 {
		return 0
	}
	return float64(part) / float64(whole)
}

// addWarning adds a warning of the whole result.
type addWarning func(kind string, count int64, format string, arg ...any)

// general tells what the whole result rests on.
func (r *Run) general(d pass.Doubts) []Warning {
	var all []Warning
	add := func(kind string, count int64, format string, arg ...any) {
		all = append(all, Warning{Kind: kind, Count: count, Text: fmt.Sprintf(format, arg...)})
	}
	if d.Held.Count > 0 {
		all = append(all, inAll(d))
	}
	if d.Skipped > 0 {
		add("clock-back", d.Skipped, "%d samples stood before the latest time stamp; the time they cover is counted once, from the samples around them", d.Skipped)
	}
	if r.order.late > 0 {
		add("late-turn", r.order.late, "%d turn counts came after their time, and later than a box may keep them to itself: where the torch was by them, and before, is uncertain", r.order.late)
	}
	if d.CarriedAngles > 0 {
		add("place", int64(d.CarriedAngles), "the turn count began anew %d times: the angle is carried on and counts as not known, until a count at the mark, a person or the next pass at the start angle tells it", d.CarriedAngles)
	}
	if d.TooFewCounts {
		add("few-counts", 1, "a stroke of this job has fewer than three turn counts: they cannot tell where it begins and ends, and each stroke goes by the plan")
	}
	if d.DeadCounter > 0 {
		add("dead-counter", int64(d.DeadCounter), "the turn counter said one count and never another: either it is not at work, or the torch stood still. The turns of %d passes are those of the plan", d.DeadCounter)
	}
	if d.Laid > 0 && d.Laid < d.Planned {
		add("layer", int64(d.Planned-d.Laid), "layer %d has %d of its %d passes: it is not finished, or one of this layer or an earlier one is missing or was welded twice; depth is not measured, so that only their number shows it", d.Layer, d.Laid, d.Planned)
	}
	if d.Diameter != nil {
		add("diameter", 1, "the diameter of later layers is not known and that of an earlier one is used: %v", d.Diameter)
	}
	if r.instruments.source.Unprotected {
		add("unprotected", 1, "unprotected link: without sequence numbers and checksums nobody can tell whether samples are missing or damaged")
	}
	if n := r.order.beyond; n > 0 {
		add("impossible", n, "%d samples are beyond any voltage or current: they are not used", n)
	}
	r.ofUnboundBoxes(add)
	for _, d := range r.job.Doubts() {
		add("unusual", 1, "%s of the job: %s", d.Field, d.Sentence())
	}
	for _, d := range r.job.Kept() {
		add("unusual", 1, "%s: %s", d.Kept(), d.Why)
	}
	all = append(all, r.sound.left...)
	r.ofPasses(add)
	r.ofRotation(add)
	r.ofCalibration(add)
	r.ofSignals(add)
	for _, why := range r.judge.Unreferenced() {
		add("waveform", 1, "%s", why)
	}
	return all
}

// ofSilence tells what one channel showed alone outside of any pass: nothing of that was taken
// for an arc, and it may have been one. A wire that is jogged by hand is as it should be.
func (r *Run) ofSilence() []Warning {
	var all []Warning
	for _, s := range r.judge.Silent() {
		text := ""
		switch s.Rule {
		case finding.CurrentOnly:
			text = "current flowed without voltage outside of any pass, %d times and %.1f s in all: no arc was told of it; if one burned, the voltage was not measured"
		case finding.VoltageOnly:
			text = "wire fed at a voltage without current outside of any pass, %d times and %.1f s in all: no arc was told of it; if one burned, the current was not measured"
		default:
			continue
		}
		all = append(all, Warning{Kind: "silent", Count: int64(s.Count), Start: s.First, End: s.First, Text: fmt.Sprintf(text, s.Count, float64(s.Time))})
	}
	return all
}

// warned is the number of warnings, and what there was to warn of when they were
// counted.
type warned struct {
	of    doubtful
	count int
}

// doubtful tells whether there can be more warnings than there were.
type doubtful struct {
	events, passes, held, periods    int
	heard                            int
	left                             int
	skipped, late, carried, diameter bool
	silences                         int
	beyond                           bool
}

// countWarnings counts them anew only where a pass has ended, or there may be
// another one.
func (r *Run) countWarnings() int {
	d := r.splitter.Doubts()
	of := doubtful{
		events: len(r.events), passes: len(r.passes), held: len(d.Held.Listed) + len(d.MayBeHeld.Listed), periods: len(r.instruments.periods),
		heard: len(r.instruments.heard),
		left:  len(r.sound.left), beyond: r.order.beyond > 0,
		skipped: d.Skipped > 0, late: r.order.late > 0, carried: d.CarriedAngles > 0, diameter: d.Diameter != nil,
		silences: len(r.judge.Silent()),
	}
	if r.warned.count == 0 || of != r.warned.of {
		r.warned = warned{of, len(r.warnings())}
	}
	return r.warned.count
}
