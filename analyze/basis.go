package analyze

import (
	"slices"
	"strings"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/harmonic"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
	"arctally/analyze/rotation"
)

// ofPasses tells what the passes rest on, together where it is the same.
func (r *Run) ofPasses(add addWarning) {
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
		add("averaged-power", averaged, "power of %d passes is that of readings that are means, or slower than 1 kHz%s", averaged, why)
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
func (r *Run) ofCalibration(add addWarning) {
	for _, channel := range restedOn {
		var missing int64
		elsewhere := ""
		for _, p := range r.passes {
			unknown := !r.instruments.known(channel, p.Start)
			missing += count(unknown)
			if unknown && elsewhere == "" {
				elsewhere = r.instruments.elsewhere(channel, p.Start)
			}
		}
		switch {
		case missing == 0:
		case elsewhere != "":
			add("no-calibration", missing, "no calibration of %s holds for %d of %d passes: %s; the uncertainty of a field instrument stands in", channel, missing, len(r.passes), elsewhere)
		case missing == int64(len(r.passes)):
			add("no-calibration", 1, "no calibration of %s is on record: the uncertainty of a field instrument stands in", channel)
		default:
			add("no-calibration", missing, "no calibration of %s was on record when %d of %d passes were laid: the uncertainty of a field instrument stands in", channel, missing, len(r.passes))
		}
	}
}

// ofSignals tells what nobody said of the way from the arc to the samples.
func (r *Run) ofSignals(add addWarning) {
	var unknown []string
	var passes int64
	for k := range r.passes {
		before := passes
		for _, c := range r.passes[k].Budget {
			if c.Unknown == "" {
				continue
			}
			passes = before + 1
			if !slices.Contains(unknown, c.Unknown) {
				unknown = append(unknown, c.Unknown)
			}
		}
	}
	if passes > 0 {
		add("not-said", passes, "the worst case stands in, and nothing that rests on it is proved, in %d of %d passes: %s", passes, len(r.passes), strings.Join(unknown, "; "))
	}
}

// offDeclared is by how much a derived rotation must differ from the declared one
// to be worth a warning: the machine's dial is no better. Ours; no source.
const offDeclared = 0.01

// ofRotation tells which passes go by a derived rotation, and where a rhythm was
// looked for and not found.
func (r *Run) ofRotation(add addWarning) {
	var derived, without, short int64
	for k := range r.passes {
		switch p := &r.passes[k]; {
		case p.TravelBasis == heat.TravelDerived:
			derived++
			if off := float64(p.Rotation.Speed/p.Rotation.Declared) - 1; max(off, -off) > offDeclared {
				add("rotation", 1, "pass %d: %s", p.Number, against(p.Rotation))
			}
		case p.Rotation.Searched > 0 && p.Rotation.Searched < harmonic.LeastTurns:
			short++
		case p.Rotation.Searched > 0:
			without++
		}
	}
	if derived > 0 {
		add("derived-travel", derived, "travel of %d passes is derived from the once-a-turn rhythm of the signal: places hold for a rotation that is even, from the start angle on", derived)
	}
	if short > 0 {
		add("no-rhythm", short, "%d passes are shorter than the %.1f turns that it takes to derive a rotation from the signal: their declared rotation stands", short, harmonic.LeastTurns)
	}
	if without > 0 {
		add("no-rhythm", without, "no once-a-turn rhythm stands out of the noise in %d passes: their declared rotation stands, and angles drift with every turn", without)
	}
}

// against compares a derived rotation with the declared one.
func against(n rotation.Account) string {
	share := quantity.Ratio(n.Speed/n.Declared - 1)
	return "the torch turned at " + quantity.Text(n.Speed, "rpm", 3) + " (+-" + quantity.Text(2*n.Uncertainty, "rpm", 3) +
		", k = 2) by its " + string(n.From) + ", " + quantity.Text(share, "%", 1) + " off the declared " +
		quantity.Text(n.Declared, "rpm", 3) + "; the derived one is used: look at the dial and the drive"
}
