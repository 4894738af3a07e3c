package sheet

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
)

// planUnits are the units of a plan on paper, beside those of a pass.
type planUnits struct {
	unitSet
	gas, area, metal                   string
	gasDigits, areaDigits, metalDigits int
}

func (u Units) planSet() planUnits {
	if u == US {
		return planUnits{u.set(), "ft3", "in2", "lb", 1, 4, 2}
	}
	return planUnits{u.set(), "L", "mm2", "kg", 0, 2, 3}
}

// Table writes the plan as an aligned table, with what it rests on.
func (s *PlanSheet) Table(w io.Writer, u Units) error {
	set := u.planSet()
	g := grid{columns: []column{
		{name: "layer"},
		{name: "bore", unit: set.bore},
		{name: "after", unit: set.bore},
		{name: "thick", unit: set.bore},
		{name: "speed", unit: "rpm"},
		{name: "window", unit: "rpm"},
		{name: "travel", unit: set.travel},
		{name: "turns"},
		{name: "arc", unit: "min"},
		{name: "elapsed", unit: "min"},
		{name: "bead", unit: set.area},
		{name: "E", unit: set.heat},
		{name: "Q", unit: set.heat},
		{name: "t8/5", unit: "s"},
		{name: "", unit: ""},
		{name: "warm", unit: "s"},
	}}
	for i := range s.plan.Layers {
		l := &s.plan.Layers[i]
		cooling, regime := coolingOf(l.Cooling)
		warmest, _ := coolingOf(l.Warmest)
		g.add([]string{
			strconv.Itoa(l.Number), digits(in(&l.Diameter, set.bore), set.boreDigits), digits(in(&l.After, set.bore), set.boreDigits),
			digits(in(&l.Thickness, set.bore), set.boreDigits), digits(in(&l.Rotation, "rpm"), 3), rotationText(l.Window),
			digits(in(&l.Travel, set.travel), set.travelDigits), digits(&l.Turns, 2),
			digits(in(&l.ArcTime, "min"), 2), digits(in(&l.Elapsed, "min"), 2), digits(in(&l.BeadArea, set.area), set.areaDigits),
			digits(in(l.ArcEnergy, set.heat), set.heatDigits), digits(in(l.HeatInput, set.heat), set.heatDigits),
			digits(cooling, 1), orDash(deref(regime)), digits(warmest, 1),
		})
	}
	return s.writeTable(w, &g, u)
}

func deref(text *string) string {
	if text == nil {
		return ""
	}
	return *text
}

func (s *PlanSheet) writeTable(w io.Writer, g *grid, u Units) error {
	set := u.planSet()
	head := fmt.Sprintf("plan: %s\nprocedure %s, pattern %s, pitch %s\n\n", orDash(s.job.Name), orDash(s.job.Procedure.Name),
		orDash(string(s.job.Deposit.Pattern)), quantity.Text(s.job.Deposit.Pitch, set.bore, set.boreDigits))
	if _, err := io.WriteString(w, head); err != nil {
		return fmt.Errorf("write plan: %w", err)
	}
	if err := g.writeTo(w); err != nil {
		return fmt.Errorf("write plan: %w", err)
	}
	tail := "\n"
	for _, line := range s.notes(u) {
		tail += strings.Join(wrap(line, pageWidth), "\n  ") + "\n"
	}
	if _, err := io.WriteString(w, tail); err != nil {
		return fmt.Errorf("write plan: %w", err)
	}
	return nil
}

// notes say what the plan adds up to, and what it rests on.
func (s *PlanSheet) notes(u Units) []string {
	lines := []string{s.timeNote(), s.metalNote(u), s.allowanceNote(u)}
	if b := s.plan.Bead; b.Width > 0 {
		lines = append(lines, s.beadNote(u))
	}
	lines = append(lines, s.carbonNote(), s.preheatNote(u), s.coolingNote(u), s.heatNote(u))
	if steady := s.steadyNote(u); steady != "" {
		lines = append(lines, steady)
	}
	for _, warning := range s.plan.Warnings {
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

func (s *PlanSheet) timeNote() string {
	return fmt.Sprintf("time: %s of arc, %s of turning; pauses, steps from ring to ring and preheating are not in it",
		quantity.Text(s.plan.ArcTime, "min", 1), quantity.Text(s.plan.Elapsed, "min", 1))
}

func (s *PlanSheet) metalNote(u Units) string {
	set := u.planSet()
	text := fmt.Sprintf("metal: wire %s, %s; deposit %s at an efficiency of %s",
		quantity.Text(s.plan.Wire, set.wire, 1), quantity.Text(s.plan.WireMass, set.metal, set.metalDigits),
		quantity.Text(s.plan.Deposit, set.metal, set.metalDigits), quantity.Text(s.job.Deposit.Efficiency, "%", -1))
	if gas := s.plan.Gas; gas != nil {
		text += fmt.Sprintf("; gas %s at %s, the middle of the procedure's window, while the arc burns",
			quantity.Text(*gas, set.gas, set.gasDigits), quantity.Text(s.plan.Settings.GasFlow, set.unitSet.gas, 1))
	}
	return text
}

func (s *PlanSheet) allowanceNote(u Units) string {
	set := u.planSet()
	text := "bore: " + quantity.Text(s.job.Bore.WornDiameter, set.bore, set.boreDigits) + " worn, to be welded to " +
		quantity.Text(s.plan.WeldTo, set.bore, set.boreDigits) + ", reaches " + quantity.Text(s.plan.Final, set.bore, set.boreDigits)
	if left := s.plan.Allowance; left != nil {
		text += fmt.Sprintf("; machining allowance against %s finished: %s all round, on a side",
			quantity.Text(s.job.Bore.FinishDiameter, set.bore, set.boreDigits), quantity.Text(*left, set.bore, set.boreDigits))
	}
	return text
}

func (s *PlanSheet) beadNote(u Units) string {
	set, b := u.planSet(), s.plan.Bead
	how := "as measured"
	if !b.Measured {
		how = "estimated as three times its height; measure one on a test piece: --bead-width"
	}
	return fmt.Sprintf("bead: %s wide (%s), overlap %s; valleys just fill at a pitch of %s (tangent model, memory)",
		quantity.Text(b.Width, set.bore, set.boreDigits), how, quantity.Text(b.Overlap, "%", 0),
		quantity.Text(b.WidestPitch, set.bore, set.boreDigits))
}

func (s *PlanSheet) carbonNote() string {
	c := s.plan.Carbon
	if c == nil {
		return "carbon equivalents: not known"
	}
	return fmt.Sprintf("carbon equivalents, mass %%: IIW %.3f, CET %.3f, Pcm %.3f (formulas: secondary)", c.IIW, c.CET, c.Pcm)
}

func (s *PlanSheet) preheatNote(u Units) string {
	set := u.planSet()
	if s.plan.Preheat == nil {
		return "preheat by EN 1011-2 method B: not computed; see the warnings"
	}
	text := "preheat by EN 1011-2 method B (secondary): " + quantity.Text(*s.plan.Preheat, set.temperature, 0)
	if zone := s.plan.PreheatZone; zone > 0 {
		text += ", at least " + quantity.Text(zone, set.bore, 1) + " all round the weld (AWS D1.1, secondary)"
	}
	return text + "; for a yield strength of at most 1000 MPa"
}

func (s *PlanSheet) coolingNote(u Units) string {
	set := u.planSet()
	text := "t8/5 by EN 1011-2 (secondary): from " + quantity.Text(s.plan.Wall, set.temperature, 0) + " (" + s.plan.WallRestsOn + ")"
	if warm := s.plan.Interpass; warm != nil {
		text += "; warm: from the highest interpass temperature, " + quantity.Text(*warm, set.temperature, 0)
	}
	return text
}

func (s *PlanSheet) heatNote(u Units) string {
	set := u.planSet()
	k := "Q = k*E, k = " + quantity.Text(s.plan.Settings.Efficiency, "", -1) + " for " + s.job.Procedure.Process + " (EN 1011-1, secondary)"
	return "heat: E = U*I/v, the arc energy; " + k + "; the procedure's window, " +
		rangeText(s.job.Procedure.Limits.HeatInput, set.heat, set.heatDigits) + ", is about " + orDash(string(s.job.Procedure.Judge.Definition))
}

func (s *PlanSheet) steadyNote(u Units) string {
	set, steady := u.planSet(), s.plan.Steady
	if steady == nil || steady.Layers < 2 {
		return ""
	}
	return fmt.Sprintf("at a steady %s: travel falls from %s to %s over %d layers, and the heat input rises by %s",
		quantity.Text(steady.Rotation, "rpm", 3), quantity.Text(steady.FirstTravel, set.travel, set.travelDigits),
		quantity.Text(steady.LastTravel, set.travel, set.travelDigits), steady.Layers, quantity.Text(steady.Rise, "%", 1))
}
