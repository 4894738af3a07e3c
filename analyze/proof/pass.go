package proof

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// OfPass is the proof of one pass.
type OfPass struct {
	Number, Layer int
	Proved        bool
	Verdict       heat.Verdict
	// Value is what the limits are about, heat input or arc energy, with its
	// expanded uncertainty; nil is not known.
	Value, Expanded *quantity.JoulesPerMetre
	// Conformity is the probability that the true value lies within the window.
	Conformity *float64
	Reasons    []Reason // why it is not proved
	Remarks    []Reason // what it rests on all the same
	// Area is the wall that the pass covers: bead path times pitch. Share is that
	// over the area of the bore at the diameter of the layer. Nil without a bore.
	Area  *quantity.SquareMetres
	Share *quantity.Ratio
}

// ofPass proves one pass.
func ofPass(job *procedure.Job, p *pass.Pass, wallTime WallTime) OfPass {
	proof := OfPass{Number: p.Number, Layer: p.Layer, Verdict: p.Verdict, Value: p.HeatInput}
	if job.Procedure.Judge.Definition == procedure.ArcEnergy {
		proof.Value = p.ArcEnergy
	}
	window := job.Procedure.Limits.HeatInput
	if proof.Value != nil && p.Budget != nil {
		u := p.Budget.Expanded(*proof.Value)
		proof.Expanded = &u
		if !window.IsZero() {
			chance := heat.Conformity(*proof.Value, p.Budget.Standard(*proof.Value), window)
			proof.Conformity = &chance
		}
	}
	w := weighing{job: job, pass: p, proof: &proof, wallTime: wallTime}
	w.verdict()
	w.instruments()
	w.signals()
	w.circumstances()
	proof.Proved = len(proof.Reasons) == 0
	return proof
}

// weighing is the proof of one pass under way.
type weighing struct {
	job      *procedure.Job
	pass     *pass.Pass
	proof    *OfPass
	wallTime WallTime
}

func (w *weighing) reason(kind Kind, format string, arg ...any) {
	w.proof.Reasons = append(w.proof.Reasons, Reason{kind, fmt.Sprintf(format, arg...)})
}

func (w *weighing) remark(kind Kind, format string, arg ...any) {
	w.proof.Remarks = append(w.proof.Remarks, Reason{kind, fmt.Sprintf(format, arg...)})
}

// verdict weighs the number itself.
func (w *weighing) verdict() {
	window := w.job.Procedure.Limits.HeatInput
	switch {
	case w.pass.Travel == nil:
		w.reason(NoTravel, "the travel is not known, so there is no energy per length")
	case w.pass.ArcTime == 0:
		w.reason(NoEnergy, "there is no arc time to sum energy over")
	case w.proof.Value == nil:
		w.reason(NoEfficiency, "process %s has no thermal efficiency in the definition %s", w.job.Procedure.Process, procedure.EN1011)
	case window.IsZero():
		w.reason(NoWindow, "the procedure has no limit of heat input")
	case w.proof.Expanded == nil:
		w.reason(NoUncertainty, "the uncertainty of the heat input is not known")
	case w.proof.Verdict == heat.Outside || w.proof.Verdict == heat.OutsideNearLimit:
		w.reason(OutsideWindow, "%s is outside by %s, U is %s", kJPerMM(*w.proof.Value),
			quantity.TextApart(distance(window.Beyond(*w.proof.Value)), "kJ/mm", 3), kJPerMM(*w.proof.Expanded))
	case w.proof.Verdict == heat.WithinNearLimit && !w.hangsOnHeld():
		w.near(window)
	}
}

// hangsOnHeld reports whether the verdict is another one without what may be held.
func (w *weighing) hangsOnHeld() bool {
	return w.pass.MayBeHeld != nil && w.pass.MayBeHeld.Verdict != w.pass.Verdict
}

// near tells why a value inside is not proved to be: what it is too close to, and
// what makes the guard band as wide as that. Missing data is named where without it
// the pass would be proved.
func (w *weighing) near(window quantity.Range[quantity.JoulesPerMetre]) {
	value, share := *w.proof.Value, w.job.Procedure.Judge.GuardBand
	whole := w.pass.Budget.Without(heat.MissingData)
	if len(whole) < len(w.pass.Budget) && heat.Judge(value, whole.Expanded(value), window, share) == heat.Within {
		w.reason(GapInData, "without data for %s, in which the arc may have put down nothing or twice as much, U is %s in place of %s",
			quantity.Text(w.pass.GapTime, "s", 2), kJPerMM(*w.proof.Expanded), kJPerMM(whole.Expanded(value)))
		return
	}
	c, part := w.pass.Budget.Greatest()
	w.reason(NearLimit, "%s is closer to a limit than the guard band of %s; most of U comes from %s (%.0f %%)",
		kJPerMM(value), kJPerMM(quantity.JoulesPerMetre(share)**w.proof.Expanded), c.Name, 100*part)
}

func kJPerMM(q quantity.JoulesPerMetre) string { return quantity.Text(q, "kJ/mm", 3) }

func distance(q quantity.JoulesPerMetre) quantity.JoulesPerMetre { return max(q, -q) }

// instruments weighs what the budget says of the channels.
func (w *weighing) instruments() {
	for _, c := range w.pass.Budget {
		if !slices.Contains([]string{heat.Voltage, heat.Current, heat.Travel}, c.Name) {
			continue
		}
		if c.Basis == heat.StandIn {
			limits, _, _ := strings.Cut(c.Source, ":")
			if c.Elsewhere != "" {
				w.reason(AnotherBox, "%s; %s stands in", c.Elsewhere, limits)
				continue
			}
			w.reason(NoCalibration, "no calibration of %s is on record; %s stands in", c.Name, limits)
			continue
		}
		w.due(c)
	}
}

// unsaid are the kinds of what a stand-in takes the place of because nobody said it.
var unsaid = map[string]Kind{heat.Skew: UnknownSkew, heat.Filters: UnknownFilters, heat.Leads: UnknownLeads, heat.Clock: UnknownClock}

// signals weighs what is not known of the way from the arc to the samples.
func (w *weighing) signals() {
	for _, c := range w.pass.Budget {
		if c.Unknown != "" {
			limits, _, _ := strings.Cut(c.Source, ":")
			w.reason(unsaid[c.Name], "%s; %s stands in", c.Unknown, limits)
		}
	}
}

// due holds the days of a calibration against the start of the pass. The day on
// which it is due is still in date.
func (w *weighing) due(c heat.Component) {
	start, dated := w.wallTime(w.pass.Start)
	if done, known := day(c.Done); known && dated && start.Before(done) {
		w.remark(LaterDone, "the calibration of %s was done after the pass, %s", c.Name, c.Done)
	}
	due, known := day(c.Due)
	switch {
	case strings.TrimSpace(c.Due) == "":
		w.remark(UndatedDue, "the calibration of %s has no due date", c.Name)
	case !known || !dated:
		w.reason(UndatedDue, "whether the calibration of %s, due %s, was in date is not known", c.Name, c.Due)
	case !start.Before(due.AddDate(0, 0, 1)):
		w.reason(Overdue, "the calibration of %s was due %s", c.Name, c.Due)
	}
}

func day(text string) (time.Time, bool) {
	d, err := time.Parse(time.DateOnly, strings.TrimSpace(text))
	return d, err == nil
}

// circumstances weighs what else the number rests on.
func (w *weighing) circumstances() {
	p := w.pass
	if p.PowerBasis == series.Average && w.job.Procedure.Judge.Power == series.Instantaneous {
		w.reason(AveragedPower, "power is that of readings that are means, or slower than 1 kHz, and the limits rest on instantaneous power")
	}
	if p.Unprotected {
		w.reason(Unprotected, "the link is unprotected: whether samples are missing, or were changed on the way, nobody can tell")
	}
	if p.HeldTime > 0 {
		w.reason(HeldValues, "the source held its last values for %s; when the arc really ended is not known", quantity.Text(p.HeldTime, "s", 2))
	}
	switch m := p.MayBeHeld; {
	case w.hangsOnHeld():
		w.reason(HeldValues, "values may have been held for %s, and without that time the verdict is another one", quantity.Text(m.Time, "s", 2))
	case m != nil:
		w.remark(HeldValues, "values may have been held for %s; without that time the verdict is the same", quantity.Text(m.Time, "s", 2))
	}
	calibrated := slices.ContainsFunc(p.Budget, func(c heat.Component) bool { return c.Name == heat.Travel && c.Basis == heat.Measured })
	switch {
	case p.Travel == nil || p.TravelBasis != heat.TravelDeclared:
	case calibrated:
		w.remark(DeclaredTravel, "the travel is declared, and was checked at set-up")
	default:
		w.reason(DeclaredTravel, "the travel is declared, and nobody measured it")
	}
	if p.GapTime > 0 && !slices.ContainsFunc(w.proof.Reasons, func(r Reason) bool { return r.Kind == GapInData }) {
		w.remark(GapInData, "no data for %s; what the arc may have done in it is in U", quantity.Text(p.GapTime, "s", 2))
	}
	if slices.ContainsFunc(p.Budget, func(c heat.Component) bool { return c.Name == heat.LayerThickness }) {
		w.remark(AssumedThickness, "the diameter of the layer is computed from the metal laid below it; the doubt of that is in U")
	}
	if p.Findings > 0 {
		w.remark(OpenFindings, "findings in the pass: %d", p.Findings)
	}
}
