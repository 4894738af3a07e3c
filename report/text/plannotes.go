package text

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/report/sheet"
)

// planNotes say what the plan adds up to, and what it rests on.
func planNotes(s *sheet.PlanSheet, u sheet.Units) []string {
	lines := []string{planTimeNote(s), metalNote(s, u), allowanceNote(s, u)}
	if b := s.Plan.Bead; b.Width > 0 {
		lines = append(lines, beadNote(s, u))
	}
	lines = append(lines, carbonNote(s), preheatNote(s, u), coolingNote(s, u), heatNote(s, u))
	if steady := steadyNote(s, u); steady != "" {
		lines = append(lines, steady)
	}
	for _, warning := range s.Plan.Warnings {
		text := "warning: " + sheet.Spaced(warning.Kind)
		if warning.Layer > 0 {
			text += fmt.Sprintf(", layer %d", warning.Layer)
		}
		lines = append(lines, text+": "+u.Words(warning.Text))
	}
	return append(lines, planCautions...)
}

// planCautions stand under every plan.
var planCautions = []string{
	"guidance; the qualified procedure rules. Layers are means of a round, even bore: measure the bore before welding and after each layer.",
	"Welding burns, blinds, gasses and starts fires, and a boring bar maims: ventilation, fire watch, hot-work permit, " +
		"and the work lead beside the weld.",
}

func planTimeNote(s *sheet.PlanSheet) string {
	return fmt.Sprintf("time: %s of arc, %s of turning; pauses, steps from ring to ring and preheating are not in it",
		quantity.Lasting(s.Plan.ArcTime, 0), quantity.Lasting(s.Plan.Elapsed, 0))
}

func metalNote(s *sheet.PlanSheet, u sheet.Units) string {
	set := u.Set()
	text := fmt.Sprintf("metal: wire %s, %s; deposit %s at an efficiency of %s",
		sheet.Say(s.Plan.Wire, set.Wire.To(1)), sheet.Say(s.Plan.WireMass, set.Metal),
		sheet.Say(s.Plan.Deposit, set.Metal), quantity.Text(s.Job.Deposit.Efficiency, "%", -1))
	if gas := s.Plan.Gas; gas != nil {
		text += fmt.Sprintf("; gas %s at %s, the middle of the procedure's window, while the arc burns",
			sheet.Say(*gas, set.Gas), sheet.Say(s.Plan.Settings.GasFlow, set.GasFlow))
	}
	return text
}

func allowanceNote(s *sheet.PlanSheet, u sheet.Units) string {
	set := u.Set()
	goal, reach := sheet.Say(s.Plan.WeldTo, set.Bore), sheet.Say(s.Plan.Final, set.Bore)
	if s.Plan.Short != nil { // else the small difference is of no matter
		reach, goal = quantity.TextAgainst(s.Plan.Final, s.Plan.WeldTo, set.Bore.Name, set.Bore.Digits)
	}
	text := "bore: " + sheet.Say(s.Job.Bore.WornDiameter, set.Bore) + " worn, to be welded to " + goal + ", reaches " + reach
	if left := s.Plan.Allowance; left != nil {
		text += fmt.Sprintf("; machining allowance against %s finished: %s all round, on a side",
			sheet.Say(s.Job.Bore.FinishDiameter, set.Bore), sheet.Say(*left, set.Bore))
	}
	return text
}

func beadNote(s *sheet.PlanSheet, u sheet.Units) string {
	set, b := u.Set(), s.Plan.Bead
	how := "as measured"
	if !b.Measured {
		how = "estimated as three times its height; measure one on a test piece: --bead-width"
	}
	return fmt.Sprintf("bead: %s wide (%s), overlap %s; valleys just fill at a pitch of %s (tangent model, memory)",
		sheet.Say(b.Width, set.Bore), how, quantity.Text(b.Overlap, "%", 0),
		sheet.Say(b.WidestPitch, set.Bore))
}

func carbonNote(s *sheet.PlanSheet) string {
	c := s.Plan.Carbon
	if c == nil {
		return "carbon equivalents: not known"
	}
	return fmt.Sprintf("carbon equivalents, mass %%: IIW %.3f, CET %.3f, Pcm %.3f (formulas: secondary)", c.IIW, c.CET, c.Pcm)
}

func preheatNote(s *sheet.PlanSheet, u sheet.Units) string {
	set := u.Set()
	switch {
	case s.Plan.NoPreheat:
		return "preheat by EN 1011-2 method B (secondary): none by this formula, for a yield strength of at most 1000 MPa; the qualified procedure may ask for one"
	case s.Plan.Preheat == nil:
		return "preheat by EN 1011-2 method B: not computed; see the warnings"
	}
	text := "preheat by EN 1011-2 method B (secondary): " + sheet.Say(*s.Plan.Preheat, set.Temperature)
	if zone := s.Plan.PreheatZone; zone > 0 {
		text += ", at least " + sheet.Say(zone, set.Bore.To(1)) + " all round the weld (AWS D1.1, secondary)"
	}
	return text + "; for a yield strength of at most 1000 MPa"
}

func coolingNote(s *sheet.PlanSheet, u sheet.Units) string {
	set := u.Set()
	text := "t8/5 by EN 1011-2 (secondary): from " + sheet.Say(s.Plan.Wall, set.Temperature) + " (" + s.Plan.WallRestsOn + ")"
	if warm := s.Plan.Interpass; warm != nil {
		text += "; warm: from the highest interpass temperature, " + sheet.Say(*warm, set.Temperature)
	}
	return text
}

func heatNote(s *sheet.PlanSheet, u sheet.Units) string {
	set := u.Set()
	k := "Q = k*E, k = " + quantity.Text(s.Plan.Settings.Efficiency, "", -1) + " for " + s.Job.Procedure.Process + " (EN 1011-1, secondary)"
	return "heat: E = U*I/v, the arc energy; " + k + "; the procedure's window, " +
		sheet.RangeText(s.Job.Procedure.Limits.HeatInput, set.Heat) + ", is about " + sheet.OrDash(string(s.Job.Procedure.Judge.Definition))
}

func steadyNote(s *sheet.PlanSheet, u sheet.Units) string {
	set, steady := u.Set(), s.Plan.Steady
	if steady == nil || steady.Layers < 2 {
		return ""
	}
	return fmt.Sprintf("at a steady %s: travel falls from %s to %s over %d layers, which reach %s, and the heat input rises by %s",
		quantity.Text(steady.Rotation, "rpm", 3), sheet.Say(steady.FirstTravel, set.Travel),
		sheet.Say(steady.LastTravel, set.Travel), steady.Layers, sheet.Say(steady.Final, set.Bore), quantity.Text(steady.Rise, "%", 1))
}
