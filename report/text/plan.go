package text

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
	"arctally/report/sheet"
)

// rotationText prints the rotation that keeps the travel in its window, for a
// column that has the unit in its head.
func rotationText(r quantity.Range[quantity.TurnsPerSecond]) string {
	if r.IsZero() {
		return sheet.Dash
	}
	return strings.TrimSuffix(quantity.TextRange(r, "rpm", 3), " rpm")
}

// Plan writes the plan as an aligned table, with what it rests on.
func Plan(w io.Writer, s *sheet.PlanSheet, u sheet.Units) error {
	set := u.PlanSet()
	g := grid{columns: []column{
		{name: "layer"},
		{name: "bore", unit: set.Bore},
		{name: "after", unit: set.Bore},
		{name: "thick", unit: set.Bore},
		{name: "speed", unit: "rpm"},
		{name: "window", unit: "rpm"},
		{name: "travel", unit: set.Travel},
		{name: "turns"},
		{name: "arc", unit: "min"},
		{name: "elapsed", unit: "min"},
		{name: "bead", unit: set.Area},
		{name: "E", unit: set.Heat},
		{name: "Q", unit: set.Heat},
		{name: "t8/5", unit: "s"},
		{name: "", unit: ""},
		{name: "warm", unit: "s"},
	}}
	for i := range s.Plan.Layers {
		l := &s.Plan.Layers[i]
		cooling, regime := sheet.CoolingOf(l.Cooling)
		warmest, _ := sheet.CoolingOf(l.Warmest)
		g.add([]string{
			strconv.Itoa(l.Number), sheet.Digits(sheet.In(&l.Diameter, set.Bore), set.BoreDigits), sheet.Digits(sheet.In(&l.After, set.Bore), set.BoreDigits),
			sheet.Digits(sheet.In(&l.Thickness, set.Bore), set.BoreDigits), sheet.Digits(sheet.In(&l.Rotation, "rpm"), 3), rotationText(l.Window),
			sheet.Digits(sheet.In(&l.Travel, set.Travel), set.TravelDigits), sheet.Digits(&l.Turns, 2),
			sheet.Digits(sheet.In(&l.ArcTime, "min"), 2), sheet.Digits(sheet.In(&l.Elapsed, "min"), 2), sheet.Digits(sheet.In(&l.BeadArea, set.Area), set.AreaDigits),
			sheet.Digits(sheet.In(l.ArcEnergy, set.Heat), set.HeatDigits), sheet.Digits(sheet.In(l.HeatInput, set.Heat), set.HeatDigits),
			sheet.Digits(cooling, 1), sheet.OrDash(deref(regime)), sheet.Digits(warmest, 1),
		})
	}
	return writePlan(w, s, &g, u)
}

func deref(text *string) string {
	if text == nil {
		return ""
	}
	return *text
}

func writePlan(w io.Writer, s *sheet.PlanSheet, g *grid, u sheet.Units) error {
	set := u.PlanSet()
	head := fmt.Sprintf("plan: %s\nprocedure %s, pattern %s, pitch %s\n\n", sheet.OrDash(s.Job.Name), sheet.OrDash(s.Job.Procedure.Name),
		sheet.OrDash(string(s.Job.Deposit.Pattern)), quantity.Text(s.Job.Deposit.Pitch, set.Bore, set.BoreDigits))
	if _, err := io.WriteString(w, head); err != nil {
		return fmt.Errorf("write plan: %w", err)
	}
	if err := g.writeTo(w); err != nil {
		return fmt.Errorf("write plan: %w", err)
	}
	tail := "\n"
	for _, line := range planNotes(s, u) {
		tail += strings.Join(wrap(line, pageWidth), "\n  ") + "\n"
	}
	if _, err := io.WriteString(w, tail); err != nil {
		return fmt.Errorf("write plan: %w", err)
	}
	return nil
}

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
		text := "warning: " + warning.Kind
		if warning.Layer > 0 {
			text += fmt.Sprintf(", layer %d", warning.Layer)
		}
		lines = append(lines, text+": "+warning.Text)
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
		quantity.Text(s.Plan.ArcTime, "min", 1), quantity.Text(s.Plan.Elapsed, "min", 1))
}

func metalNote(s *sheet.PlanSheet, u sheet.Units) string {
	set := u.PlanSet()
	text := fmt.Sprintf("metal: wire %s, %s; deposit %s at an efficiency of %s",
		quantity.Text(s.Plan.Wire, set.Wire, 1), quantity.Text(s.Plan.WireMass, set.Metal, set.MetalDigits),
		quantity.Text(s.Plan.Deposit, set.Metal, set.MetalDigits), quantity.Text(s.Job.Deposit.Efficiency, "%", -1))
	if gas := s.Plan.Gas; gas != nil {
		text += fmt.Sprintf("; gas %s at %s, the middle of the procedure's window, while the arc burns",
			quantity.Text(*gas, set.Gas, set.GasDigits), quantity.Text(s.Plan.Settings.GasFlow, set.UnitSet.Gas, 1))
	}
	return text
}

func allowanceNote(s *sheet.PlanSheet, u sheet.Units) string {
	set := u.PlanSet()
	text := "bore: " + quantity.Text(s.Job.Bore.WornDiameter, set.Bore, set.BoreDigits) + " worn, to be welded to " +
		quantity.Text(s.Plan.WeldTo, set.Bore, set.BoreDigits) + ", reaches " + quantity.Text(s.Plan.Final, set.Bore, set.BoreDigits)
	if left := s.Plan.Allowance; left != nil {
		text += fmt.Sprintf("; machining allowance against %s finished: %s all round, on a side",
			quantity.Text(s.Job.Bore.FinishDiameter, set.Bore, set.BoreDigits), quantity.Text(*left, set.Bore, set.BoreDigits))
	}
	return text
}

func beadNote(s *sheet.PlanSheet, u sheet.Units) string {
	set, b := u.PlanSet(), s.Plan.Bead
	how := "as measured"
	if !b.Measured {
		how = "estimated as three times its height; measure one on a test piece: --bead-width"
	}
	return fmt.Sprintf("bead: %s wide (%s), overlap %s; valleys just fill at a pitch of %s (tangent model, memory)",
		quantity.Text(b.Width, set.Bore, set.BoreDigits), how, quantity.Text(b.Overlap, "%", 0),
		quantity.Text(b.WidestPitch, set.Bore, set.BoreDigits))
}

func carbonNote(s *sheet.PlanSheet) string {
	c := s.Plan.Carbon
	if c == nil {
		return "carbon equivalents: not known"
	}
	return fmt.Sprintf("carbon equivalents, mass %%: IIW %.3f, CET %.3f, Pcm %.3f (formulas: secondary)", c.IIW, c.CET, c.Pcm)
}

func preheatNote(s *sheet.PlanSheet, u sheet.Units) string {
	set := u.PlanSet()
	if s.Plan.Preheat == nil {
		return "preheat by EN 1011-2 method B: not computed; see the warnings"
	}
	text := "preheat by EN 1011-2 method B (secondary): " + quantity.Text(*s.Plan.Preheat, set.Temperature, 0)
	if zone := s.Plan.PreheatZone; zone > 0 {
		text += ", at least " + quantity.Text(zone, set.Bore, 1) + " all round the weld (AWS D1.1, secondary)"
	}
	return text + "; for a yield strength of at most 1000 MPa"
}

func coolingNote(s *sheet.PlanSheet, u sheet.Units) string {
	set := u.PlanSet()
	text := "t8/5 by EN 1011-2 (secondary): from " + quantity.Text(s.Plan.Wall, set.Temperature, 0) + " (" + s.Plan.WallRestsOn + ")"
	if warm := s.Plan.Interpass; warm != nil {
		text += "; warm: from the highest interpass temperature, " + quantity.Text(*warm, set.Temperature, 0)
	}
	return text
}

func heatNote(s *sheet.PlanSheet, u sheet.Units) string {
	set := u.PlanSet()
	k := "Q = k*E, k = " + quantity.Text(s.Plan.Settings.Efficiency, "", -1) + " for " + s.Job.Procedure.Process + " (EN 1011-1, secondary)"
	return "heat: E = U*I/v, the arc energy; " + k + "; the procedure's window, " +
		sheet.RangeText(s.Job.Procedure.Limits.HeatInput, set.Heat, set.HeatDigits) + ", is about " + sheet.OrDash(string(s.Job.Procedure.Judge.Definition))
}

func steadyNote(s *sheet.PlanSheet, u sheet.Units) string {
	set, steady := u.PlanSet(), s.Plan.Steady
	if steady == nil || steady.Layers < 2 {
		return ""
	}
	return fmt.Sprintf("at a steady %s: travel falls from %s to %s over %d layers, and the heat input rises by %s",
		quantity.Text(steady.Rotation, "rpm", 3), quantity.Text(steady.FirstTravel, set.Travel, set.TravelDigits),
		quantity.Text(steady.LastTravel, set.Travel, set.TravelDigits), steady.Layers, quantity.Text(steady.Rise, "%", 1))
}
