package plan

import (
	"fmt"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/thermal"
)

// steel computes what the heat does to the wall. The error is an analysis that no
// steel has, or a wall temperature that was given and for which nothing can be
// computed.
func (p *planner) steel() error {
	if err := p.carbon(); err != nil {
		return err
	}
	p.preheat()
	if interpass := p.job.Procedure.Limits.Interpass; interpass.HasHigh {
		p.plan.Interpass = &interpass.High
	}
	p.wall()
	if p.job.Material.Thickness == 0 {
		p.warn("cooling-time", 0, "no cooling time is computed without material.thickness")
		return nil
	}
	p.plan.PreheatZone = thermal.PreheatZone(p.job.Material.Thickness)
	return p.cooling()
}

func (p *planner) carbon() error {
	analysis := thermal.Analysis(p.job.Material.Analysis)
	if len(analysis) == 0 {
		p.warn("carbon", 0, "no analysis of the steel is declared: carbon equivalents and preheat are not known")
		return nil
	}
	equivalents, err := analysis.Equivalents()
	if err != nil {
		return fmt.Errorf("material.analysis: %w", err)
	}
	p.plan.Carbon = &equivalents
	if outside := analysis.OutsideCET(); len(outside) > 0 {
		p.warn("carbon", 0, "CET was not made for a steel with "+strings.Join(outside, ", "))
	}
	return nil
}

// preheat takes the layer with the least heat, which needs the warmest wall.
func (p *planner) preheat() {
	const kind = "preheat"
	if p.plan.Carbon == nil {
		return
	}
	steel := thermal.Steel{
		CET: p.plan.Carbon.CET, Thickness: p.job.Material.Thickness, Hydrogen: p.job.Consumables.Hydrogen,
	}
	if least := p.leastHeat(); least != nil {
		steel.HeatInput = *least
	}
	if missing := missingForPreheat(steel); len(missing) > 0 {
		p.warn(kind, 0, "no preheat is computed without "+strings.Join(missing, " and "))
		return
	}
	warm, err := thermal.Preheat(steel)
	if err != nil {
		p.warn(kind, 0, "no preheat is computed: "+err.Error()+nearest(steel))
		return
	}
	if warm <= thermal.Shop {
		p.plan.NoPreheat = true
		result, shop := quantity.TextAgainst(warm, thermal.Shop, "degC", 0)
		p.warn(kind, 0, fmt.Sprintf("no preheat by this formula: its result, %s, is not above a shop at %s", result, shop))
		return
	}
	p.plan.Preheat = &warm
	if p.job.Procedure.Limits.Interpass.Beyond(warm) > 0 {
		preheat, interpass := quantity.TextAgainst(warm, p.job.Procedure.Limits.Interpass.High, "degC", 0)
		p.warn(kind, 0, fmt.Sprintf("the preheat, %s, is above the highest interpass temperature, %s", preheat, interpass))
	}
}

func missingForPreheat(s thermal.Steel) (missing []string) {
	if s.Thickness == 0 {
		missing = append(missing, "material.thickness")
	}
	if s.Hydrogen == 0 {
		missing = append(missing, "consumables.hydrogen")
	}
	if s.HeatInput == 0 {
		missing = append(missing, "a heat input")
	}
	return missing
}

// nearest tells what the formula gives at the edge of its range, where less heat
// is all that keeps it from holding.
func nearest(s thermal.Steel) string {
	edge := s.AtLeastHeat()
	warm, err := thermal.Preheat(edge)
	if err != nil || edge == s {
		return ""
	}
	if warm <= thermal.Shop {
		return fmt.Sprintf("; at %s it asks for none, which says nothing of less heat", quantity.Text(edge.HeatInput, "kJ/mm", -1))
	}
	return fmt.Sprintf("; at %s it gives %s, and less heat needs no less preheat",
		quantity.Text(edge.HeatInput, "kJ/mm", -1), quantity.Text(warm, "degC", 0))
}

func (p *planner) leastHeat() *quantity.JoulesPerMetre {
	var least *quantity.JoulesPerMetre
	for i := range p.plan.Layers {
		if q := p.plan.Layers[i].HeatInput; q != nil && (least == nil || *q < *least) {
			least = q
		}
	}
	return least
}

// wall takes the warmest of what is asked for, and of the shop.
func (p *planner) wall() {
	if p.options.Wall != nil {
		p.plan.Wall, p.plan.WallRestsOn = *p.options.Wall, "as given"
		return
	}
	p.plan.Wall, p.plan.WallRestsOn = thermal.Shop, "a shop: no preheat is computed; --wall takes another"
	if p.plan.NoPreheat {
		p.plan.WallRestsOn = "a shop: no preheat by the formula"
	}
	if interpass := p.job.Procedure.Limits.Interpass; interpass.HasLow && interpass.Low > p.plan.Wall {
		p.plan.Wall, p.plan.WallRestsOn = interpass.Low, "lowest interpass temperature of the procedure"
	}
	if warm := p.plan.Preheat; warm != nil && *warm > p.plan.Wall {
		p.plan.Wall, p.plan.WallRestsOn = *warm, "preheat by method B"
	}
}

// cooling gives each layer its cooling time, from the wall temperature and from
// the highest interpass temperature. The wall counts with the thickness of the
// machine's part; the layers below add to it, and are left out.
func (p *planner) cooling() error {
	from, err := p.coolingFrom(&p.plan.Wall)
	if err != nil {
		return err
	}
	warmest, err := p.coolingFrom(p.plan.Interpass)
	if err != nil {
		p.warn("cooling-time", 0, "no cooling time from the highest interpass temperature: "+err.Error())
	}
	for i := range p.plan.Layers {
		p.plan.Layers[i].Cooling, p.plan.Layers[i].Warmest = from[i], warmest[i]
	}
	p.hardness()
	return nil
}

// coolingFrom gives the cooling of each layer from a wall temperature, nil where
// its heat input or the temperature is not known.
func (p *planner) coolingFrom(wall *quantity.Celsius) ([]*thermal.Cooling, error) {
	all := make([]*thermal.Cooling, len(p.plan.Layers))
	for i := range p.plan.Layers {
		heat := p.plan.Layers[i].HeatInput
		if wall == nil || heat == nil {
			continue
		}
		c, err := thermal.CoolingTime(thermal.Weld{
			Wall: *wall, HeatInput: *heat, Thickness: p.job.Material.Thickness, Shape: thermal.RunOnPlate,
		})
		if err != nil {
			return all, err
		}
		all[i] = &c
	}
	return all, nil
}
