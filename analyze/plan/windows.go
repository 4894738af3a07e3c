package plan

import (
	"fmt"
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/procedure"
)

// judged is the figure that the procedure's limits are about.
func (p *planner) judged(l *Layer) *quantity.JoulesPerMetre {
	if p.job.Procedure.Judge.Definition == procedure.ArcEnergy {
		return l.ArcEnergy
	}
	return l.HeatInput
}

// windows compares each layer with the procedure.
func (p *planner) windows() {
	limits := p.job.Procedure.Limits
	for i := range p.plan.Layers {
		l := &p.plan.Layers[i]
		if q := p.judged(l); q != nil && limits.HeatInput.Beyond(*q) != 0 {
			p.warn("heat-input", l.Number, fmt.Sprintf("the expected heat input, %s, is outside the window, %s",
				quantity.TextOutside(*q, limits.HeatInput, "kJ/mm", 3), quantity.TextRange(limits.HeatInput, "kJ/mm", -1)))
		}
		if limits.TravelSpeed.Beyond(l.Travel) != 0 {
			p.warn("travel", l.Number, fmt.Sprintf("the travel, %s, is outside the window, %s; turn at %s",
				quantity.TextOutside(l.Travel, limits.TravelSpeed, "mm/min", 0), quantity.TextRange(limits.TravelSpeed, "mm/min", -1),
				quantity.TextRange(l.Window, "rpm", 3)))
		}
	}
}

// sameTravel is how far the travel that the declared rotation gives may be from
// the set-point before the job contradicts itself.
const sameTravel = 0.02

// steady follows the declared rotation through all layers, for a machine that
// keeps it while the bore closes.
func (p *planner) steady() {
	s := p.plan.Settings
	if s.Rotation == 0 || len(p.plan.Layers) == 0 {
		return
	}
	layers, _, err := p.layers(laying{p.job.Deposit.Pitch, s.turningAt})
	if err != nil {
		p.warn("steady-rotation", 0, "at the declared rotation: "+err.Error())
		return
	}
	first, last := &layers[0], &layers[len(layers)-1]
	p.plan.Steady = &Steady{
		Rotation: s.Rotation, Layers: len(layers), FirstTravel: first.Travel, LastTravel: last.Travel,
		Rise: quantity.Ratio(first.Travel/last.Travel - 1), Final: last.After,
	}
	if s.Travel > 0 && math.Abs(float64(first.Travel/s.Travel)-1) > sameTravel {
		p.warn("steady-rotation", 0, fmt.Sprintf("the declared rotation, %s, travels at %s in the worn bore, not at %s; the judgement of a record follows the rotation",
			quantity.Text(s.Rotation, "rpm", 3), quantity.Text(first.Travel, "mm/min", 0), quantity.Text(s.Travel, "mm/min", 0)))
	}
	if s.Travel > 0 { // else the plan itself keeps the rotation, and its layers are judged
		p.leaves(layers)
	}
}

// leaves names the first layer at which a steady rotation leaves a window.
func (p *planner) leaves(layers []Layer) {
	limits := p.job.Procedure.Limits
	for i := range layers {
		l := &layers[i]
		if limits.TravelSpeed.Beyond(l.Travel) != 0 {
			p.warn("steady-rotation", l.Number, fmt.Sprintf("the declared rotation, %s, would leave the travel window here: %s on %s",
				quantity.Text(p.plan.Settings.Rotation, "rpm", 3), quantity.TextOutside(l.Travel, limits.TravelSpeed, "mm/min", 0), quantity.Text(l.Diameter, "mm", 1)))
			break
		}
	}
	for i := range layers {
		l := &layers[i]
		if q := p.judged(l); q != nil && limits.HeatInput.Beyond(*q) != 0 {
			p.warn("steady-rotation", l.Number, fmt.Sprintf("the declared rotation, %s, would leave the heat input window here: %s",
				quantity.Text(p.plan.Settings.Rotation, "rpm", 3), quantity.TextOutside(*q, limits.HeatInput, "kJ/mm", 3)))
			break
		}
	}
}
