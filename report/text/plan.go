package text

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
	"arctally/report/sheet"
)

// Plan writes the plan as an aligned table, with what it rests on.
func Plan(w io.Writer, s *sheet.PlanSheet, u sheet.Units) error {
	set := u.Set()
	g := grid{columns: []column{
		{name: "layer"},
		{name: "bore", unit: set.Bore.Name},
		{name: "after", unit: set.Bore.Name},
		{name: "thick", unit: set.Bore.Name},
		{name: "speed", unit: "rpm"},
		{name: "window", unit: "rpm"},
		{name: "travel", unit: set.Travel.Name},
		{name: "turns"},
		{name: "arc", unit: "min"},
		{name: "elapsed", unit: "min"},
		{name: "bead", unit: set.Area.Name},
		{name: "E", unit: set.Heat.Name},
		{name: "Q", unit: set.Heat.Name},
		{name: "t8/5", unit: "s"},
		{name: "", unit: ""},
		{name: "warm", unit: "s"},
	}}
	for i := range s.Plan.Layers {
		l := &s.Plan.Layers[i]
		cooling, regime := sheet.CoolingOf(l.Cooling)
		warmest, _ := sheet.CoolingOf(l.Warmest)
		g.add([]string{
			strconv.Itoa(l.Number), sheet.Show(&l.Diameter, set.Bore), sheet.Show(&l.After, set.Bore),
			sheet.Show(&l.Thickness, set.Bore), sheet.Digits(sheet.In(&l.Rotation, "rpm"), 3), rotationText(l.Window),
			sheet.Show(&l.Travel, set.Travel), sheet.Digits(&l.Turns, 2),
			sheet.Digits(sheet.In(&l.ArcTime, "min"), 2), sheet.Digits(sheet.In(&l.Elapsed, "min"), 2), sheet.Show(&l.BeadArea, set.Area),
			sheet.Show(l.ArcEnergy, set.Heat), sheet.Show(l.HeatInput, set.Heat),
			sheet.Digits(cooling, 1), sheet.OrDash(deref(regime)), sheet.Digits(warmest, 1),
		})
	}
	var p page
	fmt.Fprintf(&p, "plan: %s\nprocedure %s, pattern %s, pitch %s\n\n", sheet.OrDash(s.Job.Name), sheet.OrDash(s.Job.Procedure.Name),
		sheet.OrDash(string(s.Job.Deposit.Pattern)), sheet.Say(s.Job.Deposit.Pitch, set.Bore))
	p.table(&g, planNotes(s, u)...)
	return p.writeTo(w, "plan")
}

func deref(text *string) string {
	if text == nil {
		return ""
	}
	return *text
}

// rotationText prints the rotation that keeps the travel in its window, for a
// column that has the unit in its head.
func rotationText(r quantity.Range[quantity.TurnsPerSecond]) string {
	if r.IsZero() {
		return sheet.Dash
	}
	return strings.TrimSuffix(quantity.TextRange(r, "rpm", 3), " rpm")
}
