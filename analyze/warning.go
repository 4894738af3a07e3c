package analyze

import (
	"cmp"
	"fmt"
	"slices"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
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
	if r.flagged {
		why = "the arc flag was off while voltage and current stood at arc-like values"
	}
	var all []Warning
	for _, h := range d.Held {
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
		Kind: "held", Start: d.Held[0].Start, End: d.Last(), Count: int64(d.HeldCount),
		Text: fmt.Sprintf("held values %d times, %.1f s in all; with them the arc-on ratio of the whole time would have been %.3f, without them it is %.3f",
			d.HeldCount, float64(d.HeldTime)*1e-9, share(d.Arc+d.HeldTime, d.Elapsed), share(d.Arc, d.Elapsed)),
	}
}

func share(part, whole int64) float64 {
	if whole == 0 {
		return 0
	}
	return float64(part) / float64(whole)
}

// general tells what the whole result rests on.
func (r *Run) general(d pass.Doubts) []Warning {
	var all []Warning
	add := func(kind string, count int64, format string, arg ...any) {
		all = append(all, Warning{Kind: kind, Count: count, Text: fmt.Sprintf(format, arg...)})
	}
	if d.HeldCount > 0 {
		all = append(all, inAll(d))
	}
	if d.Skipped > 0 {
		add("clock-back", d.Skipped, "%d samples stood before the latest time stamp; the time they cover is counted once, from the samples around them", d.Skipped)
	}
	if r.late > 0 {
		add("late-turn", r.late, "%d turn counts came more than %s after their time: angles near them are uncertain", r.late, quantity.Text(quantity.Seconds(lag*1e-9), "s", 1))
	}
	if d.CarriedAngles > 0 {
		add("place", int64(d.CarriedAngles), "the turn count began anew %d times: places after that hold only if the torch did not turn meanwhile", d.CarriedAngles)
	}
	if d.Laid > 0 && d.Laid < d.Planned {
		add("layer", int64(d.Planned-d.Laid), "layer %d has %d of its %d passes: it is not finished, or one of this layer or an earlier one is missing or was welded twice; depth is not measured, so that only their number shows it", d.Layer, d.Laid, d.Planned)
	}
	if d.Diameter != nil {
		add("diameter", 1, "the diameter of later layers is not known and that of an earlier one is used: %v", d.Diameter)
	}
	if r.source.Unprotected {
		add("unprotected", 1, "unprotected link: without sequence numbers and checksums nobody can tell whether samples are missing or damaged")
	}
	r.ofPasses(add)
	r.ofRotation(add)
	r.ofCalibration(add)
	for _, why := range r.watch.Unreferenced() {
		add("waveform", 1, "%s", why)
	}
	return all
}

// ofPasses tells what the passes rest on, together where it is the same.
func (r *Run) ofPasses(add func(kind string, count int64, format string, arg ...any)) {
	var declared, averaged, missing, unjudged int64
	for _, p := range r.passes {
		declared += count(p.Travel != nil && p.TravelBasis == heat.TravelDeclared)
		averaged += count(p.PowerBasis == series.Average)
		missing += count(p.Travel == nil)
		unjudged += count(p.Travel != nil && p.Verdict == "" && !r.job.Procedure.Limits.HeatInput.IsZero())
	}
	if declared > 0 {
		add("declared-travel", declared, "travel of %d passes is declared, not measured: heat input and place rest on the plan", declared)
	}
	if averaged > 0 {
		why := ""
		if r.job.Procedure.Judge.Power == series.Instantaneous {
			why = "; the procedure judges true power, which this can never prove"
		}
		add("averaged-power", averaged, "power of %d passes is mean voltage times mean current%s", averaged, why)
	}
	if missing > 0 {
		add("no-travel", missing, "travel of %d passes is not known: give the rotation, the travel speed or the length in the job", missing)
	}
	if unjudged > 0 {
		add("no-verdict", unjudged, "%d passes have no verdict: process %q has no thermal efficiency for the definition %s", unjudged, r.job.Procedure.Process, procedure.EN1011)
	}
}

func count(yes bool) int64 {
	if yes {
		return 1
	}
	return 0
}

// ofCalibration tells which uncertainties are stand-ins.
func (r *Run) ofCalibration(add func(kind string, count int64, format string, arg ...any)) {
	for _, channel := range []string{"voltage", "current", "travel"} {
		var missing int64
		for _, p := range r.passes {
			missing += count(!r.known(channel, p.Start))
		}
		switch {
		case missing == 0:
		case missing == int64(len(r.passes)):
			add("no-calibration", 1, "no calibration of %s is on record: the uncertainty of a field instrument stands in", channel)
		default:
			add("no-calibration", missing, "no calibration of %s was on record when %d of %d passes were laid: the uncertainty of a field instrument stands in", channel, missing, len(r.passes))
		}
	}
}
